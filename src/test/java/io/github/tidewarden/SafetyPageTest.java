package io.github.tidewarden;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.TreeMap;
import java.util.regex.Pattern;
import java.util.stream.IntStream;
import java.util.stream.Stream;
import org.jspecify.annotations.Nullable;
import org.junit.jupiter.api.Test;
import org.junit.platform.commons.annotation.Testable;
import org.junit.platform.commons.support.AnnotationSupport;

/** SAFETY.md has a row for every hazard, and names no test that is not there. */
class SafetyPageTest {
  private static final Path PAGE = Path.of("SAFETY.md");
  private static final Path SOURCES = Path.of("src/test/java");
  private static final int HAZARDS = 75;
  private static final Set<String> DESCRIBING =
      Set.of("StandardInterlocksTest", "KeepersInterlocksTest");

  private static final Pattern ROW =
      Pattern.compile("\\| (F\\d\\d) \\| [123] \\| [^|]+ \\| ([^|]+) \\|(.*)\\|");
  private static final Pattern TEST =
      Pattern.compile("`([A-Z]\\w*(?:Test|Contract|Suite))\\.(\\w+)`");

  @Test
  void hasEveryHazardInOrder() throws IOException {
    List<String> rows =
        Files.readAllLines(PAGE).stream().filter(line -> line.matches("\\| F\\d.*")).toList();

    assertThat(rows).allMatch(row -> ROW.matcher(row).matches());
    assertThat(rows.stream().map(row -> row.substring(2, 5)))
        .containsExactlyElementsOf(
            IntStream.rangeClosed(1, HAZARDS).mapToObj("F%02d"::formatted).toList());
  }

  /** A spec made from a configuration, or a simulated device, proves nothing about the daemon. */
  @Test
  void everyAnswerThatIsClaimedHasATestInWhichItHappens() throws Exception {
    Map<String, Class<?>> classes = testClasses();
    List<String> without = new ArrayList<>();
    for (String line : Files.readAllLines(PAGE)) {
      var row = ROW.matcher(line);
      if (row.matches()
          && !row.group(2).startsWith("Not yet: ")
          && TEST.matcher(row.group(3))
              .results()
              .map(test -> classes.get(test.group(1)))
              .allMatch(SafetyPageTest::onlyDescribes)) {
        without.add(row.group(1));
      }
    }
    assertThat(without).isEmpty();
  }

  @Test
  void nothingIsClaimedThatATestIsStillToProve() throws IOException {
    assertThat(Files.readString(PAGE)).doesNotContain("no test yet", "Not yet: a test");
  }

  private static boolean onlyDescribes(@Nullable Class<?> tests) {
    return tests == null
        || tests.getPackageName().endsWith(".rehearsal")
        || DESCRIBING.contains(tests.getSimpleName());
  }

  @Test
  void everyTestThatItNamesIsThere() throws Exception {
    Map<String, Class<?>> classes = testClasses();
    List<String> missing = new ArrayList<>();
    int named = 0;
    var test = TEST.matcher(Files.readString(PAGE));
    while (test.find()) {
      named++;
      Class<?> holder = classes.get(test.group(1));
      if (holder == null || !isTest(holder, test.group(2))) {
        missing.add(test.group());
      }
    }
    assertThat(named).isGreaterThanOrEqualTo(HAZARDS);
    assertThat(missing).isEmpty();
  }

  private static boolean isTest(Class<?> holder, String name) {
    return Arrays.stream(holder.getDeclaredMethods())
            .anyMatch(
                method ->
                    method.getName().equals(name)
                        && AnnotationSupport.isAnnotated(method, Testable.class))
        || Arrays.stream(holder.getDeclaredClasses()).anyMatch(nested -> isTest(nested, name));
  }

  /** Every class of the tests by its simple name. */
  private static Map<String, Class<?>> testClasses() throws Exception {
    Map<String, Class<?>> classes = new TreeMap<>();
    List<Path> files;
    try (Stream<Path> all = Files.walk(SOURCES)) {
      files =
          all.filter(
                  path ->
                      path.toString().endsWith("Test.java")
                          || path.toString().endsWith("Contract.java")
                          || path.toString().endsWith("Suite.java"))
              .toList();
    }
    for (Path file : files) {
      String path = SOURCES.relativize(file).toString();
      String name = path.substring(0, path.length() - ".java".length()).replace('/', '.');
      Class<?> type = Class.forName(name, false, SafetyPageTest.class.getClassLoader());
      classes.put(type.getSimpleName(), type);
    }
    return classes;
  }
}
