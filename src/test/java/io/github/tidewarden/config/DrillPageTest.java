package io.github.tidewarden.config;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import org.junit.jupiter.api.Test;

/** The page "Drills" names every word that the code knows. */
class DrillPageTest {
  @Test
  void namesEveryWordOfADrill() throws IOException {
    String page = Files.readString(Path.of("src/site/markdown/drill.md"));
    for (DrillExpect.Key key : DrillExpect.Key.values()) {
      assertThat(page).containsPattern("\\| (`[a-z-]+`, )?`" + key.word() + "`[ ,]");
    }
    for (Drill.DeviceState state : Drill.DeviceState.values()) {
      assertThat(page).contains("`" + state.word() + "`");
    }
    assertThat(DrillNames.phases())
        .allSatisfy(phase -> assertThat(page).contains("`" + phase + "`"));
    assertThat(DrillNames.holdable())
        .allSatisfy(name -> assertThat(page).contains("`" + name + "`"));
    assertThat(page)
        .contains(
            "at most " + DrillTimes.MAX_HOURS + " h after the start",
            Drill.USUAL_EVERY_NANOS / 1_000_000_000 + " s without it");
  }
}
