package io.github.tidewarden;

import static com.tngtech.archunit.base.DescribedPredicate.not;
import static com.tngtech.archunit.core.domain.JavaClass.Predicates.resideInAnyPackage;
import static com.tngtech.archunit.lang.syntax.ArchRuleDefinition.classes;
import static java.nio.charset.StandardCharsets.UTF_8;
import static org.assertj.core.api.Assertions.assertThat;

import com.tngtech.archunit.core.domain.JavaAccess;
import com.tngtech.archunit.core.domain.JavaCall;
import com.tngtech.archunit.core.domain.JavaClass;
import com.tngtech.archunit.core.domain.JavaClasses;
import com.tngtech.archunit.core.importer.ClassFileImporter;
import com.tngtech.archunit.core.importer.ImportOption;
import java.io.File;
import java.io.FileReader;
import java.io.IOException;
import java.nio.file.Path;
import java.time.Clock;
import java.time.Instant;
import java.time.LocalDate;
import java.time.LocalTime;
import java.time.OffsetDateTime;
import java.time.Year;
import java.time.ZoneId;
import java.time.ZonedDateTime;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Random;
import java.util.Set;
import java.util.Timer;
import java.util.TreeSet;
import java.util.concurrent.Executors;
import java.util.concurrent.TimeUnit;
import java.util.regex.Pattern;
import java.util.stream.Collectors;
import org.junit.jupiter.api.Test;
import org.slf4j.LoggerFactory;

/** Imports point down the list of packages in DEVELOPERS.md, and the core is pure. */
class ArchitectureTest {

  private static final String ROOT = "io.github.tidewarden.";

  /** From the top down; {@code dosing} and {@code exchange} share a floor. */
  private static final List<Set<String>> FLOORS =
      List.of(
          Set.of("cli"),
          Set.of("daemon"),
          Set.of("review"),
          Set.of("rehearsal"),
          Set.of("mqtt"),
          Set.of("audit"),
          Set.of("config"),
          Set.of("control"),
          Set.of("gate"),
          Set.of("dosing", "exchange"),
          Set.of("interlock"),
          Set.of("schedule"),
          Set.of("sensing"),
          Set.of("science"),
          Set.of("quantity"));

  private static final String[] CORE = {
    ROOT + "control",
    ROOT + "gate",
    ROOT + "dosing",
    ROOT + "exchange",
    ROOT + "interlock",
    ROOT + "schedule",
    ROOT + "sensing",
    ROOT + "science",
    ROOT + "quantity"
  };

  private static final JavaClasses CLASSES =
      new ClassFileImporter()
          .withImportOption(ImportOption.Predefined.DO_NOT_INCLUDE_TESTS)
          .importPackages("io.github.tidewarden");

  @Test
  void sawEveryPackage() {
    Set<String> seen = new TreeSet<>();
    for (JavaClass seenClass : CLASSES) {
      seen.add(seenClass.getPackageName().substring(ROOT.length()));
    }
    Set<String> expected = new TreeSet<>();
    FLOORS.forEach(expected::addAll);
    assertThat(seen).isEqualTo(expected);
  }

  @Test
  void importsPointDownTheList() {
    for (int floor = 0; floor < FLOORS.size(); floor++) {
      for (String name : FLOORS.get(floor)) {
        Set<String> below = new TreeSet<>(Set.of(ROOT + name));
        FLOORS
            .subList(floor + 1, FLOORS.size())
            .forEach(set -> set.forEach(p -> below.add(ROOT + p)));
        classes()
            .that()
            .resideInAPackage(ROOT + name)
            .should()
            .onlyDependOnClassesThat(
                not(resideInAnyPackage(ROOT.substring(0, ROOT.length() - 1) + ".."))
                    .or(resideInAnyPackage(below.toArray(String[]::new))))
            .check(CLASSES);
      }
    }
  }

  /** Classes of which the core knows nothing. */
  private static final Pattern IMPURE_CLASS =
      Pattern.compile(
          """
          java\\.nio\\.(file|channels)\\..*
          |java\\.net\\..*
          |java\\.io\\.(File.*|RandomAccessFile|Console)
          |java\\.lang\\.((Inheritable)?Thread(Local|Group)?|Process.*|Runtime)
          |java\\.time\\.(Clock|InstantSource).*
          |java\\.util\\.(Timer|TimerTask|Date|GregorianCalendar)
          |java\\.util\\.concurrent\\.(?!TimeUnit).*
          |java\\.util\\.logging\\..*
          |java\\.security\\.SecureRandom
          |org\\.(slf4j|quartz)\\..*
          |org\\.eclipse\\.paho\\..*
          """,
          Pattern.COMMENTS);

  /** Calls and fields by which a clock, a setting of the machine, or chance comes in. */
  private static final Pattern IMPURE_ACCESS =
      Pattern.compile(
          """
          java\\.lang\\.System\\.(?!arraycopy\\().*
          |java\\.time\\.(\\w+\\.)*now\\(.*
          |java\\.time\\.ZoneId\\.systemDefault\\(.*
          |java\\.util\\.(Locale|TimeZone)\\.getDefault\\(.*
          |java\\.lang\\.Math\\.random\\(.*
          |java\\.util\\.(Random|SplittableRandom)\\.<init>\\(\\)
          |java\\.util\\.random\\.RandomGenerator\\.(of|getDefault)\\(.*
          |java\\.util\\.UUID\\.randomUUID\\(.*
          |java\\.util\\.concurrent\\.TimeUnit\\.(sleep|timedJoin|timedWait)\\(.*
          """,
          Pattern.COMMENTS);

  @Test
  void theCoreReadsNoClockNoFileNoSocketAndNeverLogsOrSleeps() {
    List<String> impurities = new ArrayList<>();
    for (JavaClass core : CLASSES) {
      if (resideInAnyPackage(CORE).test(core)) {
        core.getDirectDependenciesFromSelf().stream()
            .filter(d -> IMPURE_CLASS.matcher(d.getTargetClass().getName()).matches())
            .forEach(dependency -> impurities.add(dependency.getDescription()));
        core.getAccessesFromSelf().stream()
            .filter(ArchitectureTest::isImpure)
            .forEach(access -> impurities.add(access.getDescription()));
      }
    }
    assertThat(impurities).isEmpty();
  }

  private static boolean isImpure(JavaAccess<?> access) {
    String owner = access.getTargetOwner().getName();
    String parameters =
        access instanceof JavaCall<?> call
            ? call.getTarget().getRawParameterTypes().stream()
                .map(JavaClass::getName)
                .collect(Collectors.joining(", ", "(", ")"))
            : "";
    return IMPURE_CLASS.matcher(owner).matches()
        || IMPURE_ACCESS.matcher(owner + "." + access.getName() + parameters).matches();
  }

  @Test
  void eachWayToBeImpureIsSeen() {
    JavaClass impure = new ClassFileImporter().importClass(Impure.class);
    assertThat(impure.getMethods()).hasSize(24);
    assertThat(impure.getMethods())
        .allSatisfy(
            method ->
                assertThat(method.getAccessesFromSelf())
                    .as(method.getName())
                    .anyMatch(ArchitectureTest::isImpure));
    assertThat(new ClassFileImporter().importClass(Harmless.class).getMethods())
        .allSatisfy(
            method ->
                assertThat(method.getAccessesFromSelf())
                    .as(method.getName())
                    .isNotEmpty()
                    .noneMatch(ArchitectureTest::isImpure));
  }

  /** What the core may do. */
  static final class Harmless {
    Object seededChance() {
      return new Random(7).nextInt();
    }

    Object nanosOfSeconds() {
      return TimeUnit.SECONDS.toNanos(3);
    }

    void copies() {
      System.arraycopy(new int[1], 0, new int[1], 0, 1);
    }

    Object fixedTime() {
      return Instant.EPOCH.plusSeconds(1);
    }
  }

  /** One way in each method; none is ever called. */
  @SuppressWarnings("JavaTimeDefaultTimeZone")
  static final class Impure {
    Object wallClock() {
      return Instant.now();
    }

    Object localDate() {
      return LocalDate.now();
    }

    Object localTime() {
      return LocalTime.now();
    }

    Object zonedTime() {
      return ZonedDateTime.now();
    }

    Object offsetTime() {
      return OffsetDateTime.now();
    }

    Object year() {
      return Year.now();
    }

    Object clock() {
      return Clock.systemUTC();
    }

    Object millis() {
      return System.currentTimeMillis();
    }

    Object nanos() {
      return System.nanoTime();
    }

    Object zoneOfTheMachine() {
      return ZoneId.systemDefault();
    }

    Object localeOfTheMachine() {
      return Locale.getDefault();
    }

    void printsOut() {
      System.out.println();
    }

    void printsErr() {
      System.err.println();
    }

    Object environment() {
      return System.getenv("HOME");
    }

    Object file() {
      return new File("x");
    }

    Object fileReader() throws IOException {
      return new FileReader("x", UTF_8);
    }

    Object path() {
      return Path.of("x");
    }

    Object timer() {
      return new Timer();
    }

    Object executor() {
      return Executors.newCachedThreadPool();
    }

    void thread() {
      new Thread(() -> {}).start();
    }

    void sleeps() throws InterruptedException {
      TimeUnit.SECONDS.sleep(1);
    }

    Object unseededChance() {
      return new Random().nextInt();
    }

    Object chance() {
      return Math.random();
    }

    Object logger() {
      return LoggerFactory.getLogger("x");
    }
  }

  @Test
  void onlyTheGateMakesCommands() {
    CLASSES.stream()
        .filter(c -> c.getName().equals(ROOT + "gate.Command"))
        .flatMap(c -> c.getConstructors().stream())
        .forEach(
            constructor ->
                assertThat(constructor.getModifiers().toString())
                    .as("constructors of the command type are package-private")
                    .doesNotContain("PUBLIC")
                    .doesNotContain("PROTECTED"));
  }
}
