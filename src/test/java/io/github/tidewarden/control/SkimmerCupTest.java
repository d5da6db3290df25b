package io.github.tidewarden.control;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.config.ConfigException;
import io.github.tidewarden.config.ConfigText;
import java.time.Duration;
import java.time.Instant;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

/** The cup of the skimmer as a configuration has it: hazard F27 of SAFETY.md. */
class SkimmerCupTest {
  private static final String CUP = "lab/lagoon/skimmer/cup";
  private static final Instant OPENS = Bench.WINDOW_OPENS;

  private Bench bench;

  @BeforeEach
  void aDoseRuns() throws ConfigException {
    TankSpec lagoon =
        ConfigText.lab().withSkimmer("{ cup: skimmer-cup }").read().site().tanks().get(0);
    bench = new Bench(Specs.site(lagoon), OPENS.minusSeconds(3_600));
    bench.says("lab/lagoon/skimmer/air", "5");
    bench.says("lab/lagoon/return", "1");
    bench.says("lab/lagoon/sump", "{\"depth\":210}");
    bench.says("lab/lagoon/floor", "dry");
    bench.says(CUP, "0");
    bench.redox(320, 322);
    bench.connect();
    bench.passesUntil(OPENS.minusSeconds(3));
    bench.live(60);
    assertThat(bench.runs()).isTrue();
  }

  @Test
  void aCupThatIsFullEndsTheDoseAtOnceAndLatchesAfter30Seconds() {
    bench.says(CUP, "1").live(1);
    assertThat(bench.runs()).isFalse();
    assertThat(bench.last(Kind.REST).why()).isEqualTo("skimmer-cup-full: skimmer-cup full");
    assertThat(bench.memory().latches()).isEmpty();
    bench.live(30);
    assertThat(bench.memory().latches()).containsOnlyKeys("skimmer-cup-full");
    bench.says(CUP, "0").live(1_200);
    assertThat(bench.runs()).isFalse();
    bench.restarts(Duration.ofSeconds(5));
    assertThat(bench.memory().latches()).containsOnlyKeys("skimmer-cup-full");
  }

  @Test
  void oneThatIsEmptiedAtOnceRestsForTenMinutes() {
    bench.says(CUP, "1").live(20);
    bench.says(CUP, "0").live(590);
    assertThat(bench.runs()).isFalse();
    bench.live(300); // the shortest time from start to start, 15 min, is over too
    assertThat(bench.runs()).isTrue();
    assertThat(bench.memory().latches()).isEmpty();
  }

  /** One that says nothing may be full. */
  @Test
  void oneThatIsSilentForTooLongForbids() {
    bench.mute.add(CUP);
    bench.live(598);
    assertThat(bench.runs()).isTrue();
    bench.live(5);
    assertThat(bench.runs()).isFalse();
  }
}
