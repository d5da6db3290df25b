package io.github.tidewarden.config;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.interlock.InterlockSpec;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.HashSet;
import java.util.List;
import java.util.Set;
import java.util.TreeSet;
import java.util.stream.Stream;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.TestInstance;

/**
 * Every standard interlock has a drill that comes with the project and expects it. That each passes
 * and can fail is held by {@code ShippedDrillsTest}.
 */
@TestInstance(TestInstance.Lifecycle.PER_CLASS)
class StandardDrillsTest {
  private static final Path DRILLS = Path.of("config/drills");

  /** What drills expect of an interlock: its name and whether it trips or is a notice. */
  private record Expected(String name, Drill.Fact fact) {}

  private final Set<Expected> expected = new HashSet<>();
  private final Set<Expected> standard = new HashSet<>();

  @BeforeAll
  void readWhatIsShipped() throws ConfigException, IOException {
    reads(ConfigText.lab().read(), DRILLS);
    reads(ConfigText.quarantine().read(), DRILLS.resolve("quarantine"));
  }

  private void reads(Configuration site, Path drills) throws ConfigException, IOException {
    site.site().tanks().stream()
        .flatMap(tank -> tank.interlocks().stream())
        .forEach(spec -> standard.add(new Expected(spec.name(), fact(spec))));
    List<Path> files;
    try (Stream<Path> all = Files.list(drills)) {
      files = all.filter(Files::isRegularFile).toList();
    }
    for (Path file : files) {
      DrillReader.read(file, site).expectations().stream()
          .flatMap(each -> each.claims().stream())
          .filter(Drill.Claim::holds)
          .forEach(claim -> expected.add(new Expected(claim.name(), claim.fact())));
    }
  }

  private static Drill.Fact fact(InterlockSpec spec) {
    return spec.notice() ? Drill.Fact.NOTICE : Drill.Fact.TRIPPED;
  }

  @Test
  void everyStandardInterlockIsAtAnExampleSite() {
    assertThat(new TreeSet<>(standard.stream().map(Expected::name).toList()))
        .containsExactlyElementsOf(new TreeSet<>(StandardInterlocks.NAMES));
  }

  @Test
  void everyStandardInterlockIsExpectedByADrill() {
    assertThat(expected).containsAll(standard);
  }
}
