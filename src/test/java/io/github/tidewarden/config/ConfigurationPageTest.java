package io.github.tidewarden.config;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.quantity.Dimension;
import io.github.tidewarden.quantity.UnitCode;
import io.github.tidewarden.sensing.Measure;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Set;
import java.util.TreeSet;
import java.util.regex.MatchResult;
import java.util.regex.Pattern;
import java.util.stream.Collectors;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;

/** The page "Configuration" names everything that the code knows. */
class ConfigurationPageTest {
  private static String page = "";

  @BeforeAll
  static void readThePage() throws IOException {
    page = Files.readString(Path.of("src/site/markdown/configuration.md"));
  }

  @Test
  void namesEveryUnitMeasureGuardInterlockAndReference() {
    for (UnitCode unit : UnitCode.values()) {
      if (unit.dimension() != Dimension.VOLUME_PER_LENGTH) {
        assertThat(page).contains("`" + unit.code() + "`");
      }
    }
    for (Measure measure : Measure.values()) {
      assertThat(page).contains("| `" + measure.word() + "`");
    }
    assertThat(Guard.keys()).allSatisfy(key -> assertThat(page).contains("| `" + key + "` |"));
    assertThat(StandardInterlocks.NAMES)
        .allSatisfy(name -> assertThat(page).contains("| `" + name + "` |"));
    assertThat(References.BY_NAME.keySet())
        .allSatisfy(name -> assertThat(page).contains("`" + name + "`"));
  }

  @Test
  void namesEveryKeyOfTheShippedConfiguration() {
    Set<String> keys =
        Pattern.compile("(?m)(?:^\\s*|[{,]\\s*)\"?([a-z-]+)\"?:(?=\\s)")
            .matcher(ConfigText.lab().text().replaceAll("(?m)#.*$", ""))
            .results()
            .map((MatchResult match) -> match.group(1))
            .collect(Collectors.toCollection(TreeSet::new));
    keys.removeAll(
        Set.of(
            "relay", "pump", "gallery", "lagoon", "nursery", "redox-a", "redox-b", "sump",
            "floor"));

    assertThat(keys).hasSizeGreaterThan(50);
    assertThat(keys)
        .allSatisfy(key -> assertThat(page).containsPattern("[`.{, ]" + key + "[`:.,]"));
  }
}
