package io.github.tidewarden;

import static com.tngtech.archunit.base.DescribedPredicate.not;
import static com.tngtech.archunit.core.domain.JavaClass.Predicates.resideInAnyPackage;
import static com.tngtech.archunit.lang.syntax.ArchRuleDefinition.classes;
import static com.tngtech.archunit.lang.syntax.ArchRuleDefinition.noClasses;
import static org.assertj.core.api.Assertions.assertThat;

import com.tngtech.archunit.core.domain.JavaClass;
import com.tngtech.archunit.core.domain.JavaClasses;
import com.tngtech.archunit.core.importer.ClassFileImporter;
import com.tngtech.archunit.core.importer.ImportOption;
import java.util.List;
import java.util.Set;
import java.util.TreeSet;
import org.junit.jupiter.api.Test;

/** DESIGN.md section 6: imports point down one list of packages, and the core is pure. */
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

  @Test
  void theCoreReadsNoClockNoFileNoSocketAndNeverLogsOrSleeps() {
    noClasses()
        .that()
        .resideInAnyPackage(CORE)
        .should()
        .dependOnClassesThat()
        .resideInAnyPackage(
            "java.nio.file..",
            "java.nio.channels..",
            "java.net..",
            "org.slf4j..",
            "org.eclipse.paho..",
            "org.quartz..",
            "java.util.concurrent.atomic..",
            "java.util.concurrent.locks..")
        .check(CLASSES);
    noClasses()
        .that()
        .resideInAnyPackage(CORE)
        .should()
        .callMethod(System.class, "currentTimeMillis")
        .orShould()
        .callMethod(System.class, "nanoTime")
        .orShould()
        .callMethod(java.time.Instant.class, "now")
        .orShould()
        .callMethod(Thread.class, "sleep", long.class)
        .check(CLASSES);
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
