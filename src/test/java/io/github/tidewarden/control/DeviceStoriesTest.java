package io.github.tidewarden.control;

import static org.assertj.core.api.Assertions.assertThat;

import java.time.Duration;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

/** Generators that do not do what they are told: SAFETY.md F19, F20, F24, F66. */
class DeviceStoriesTest {
  private static final String STATE = "lab/lagoon/ozone/state";

  private Bench bench;

  @BeforeEach
  void anHourBeforeTheWindow() {
    bench = Bench.lagoon();
  }

  private long rests() {
    return bench.commands.stream().filter(command -> !command.runs()).count();
  }

  @Test
  void aGeneratorThatDoesNotConfirmRestsAndLatchesAtTheThirdTime() {
    bench.mute.add(STATE);
    bench.passesUntil(Bench.WINDOW_OPENS);
    for (int time = 1; time <= 3; time++) {
      assertThat(bench.memory().latches()).isEmpty();
      bench.live(2);
      assertThat(bench.runs()).isTrue();
      bench.live(5);
      assertThat(bench.runs()).isFalse();
      bench.live(893);
    }
    assertThat(bench.memory().latches()).containsOnlyKeys("generator-unconfirmed");
    assertThat(bench.field(Kind.SILENT, "name")).containsOnly("generator-unconfirmed").hasSize(3);
  }

  @Test
  void aRetainedStateNeverConfirms() {
    bench.mute.add(STATE);
    bench.windowOpens();
    bench.hearRetained(STATE, "{\"on\":true}");
    bench.live(5);
    assertThat(bench.field(Kind.SILENT, "name")).containsExactly("generator-unconfirmed");
  }

  @Test
  void aStateThatIsNeitherWordConfirmsNothing() {
    bench.mute.add(STATE);
    bench.windowOpens();
    for (String payload : new String[] {"", "on", "{\"on\":1}", "{\"on\":\"yes\"}", "[true]"}) {
      bench.hear(STATE, payload);
    }
    bench.live(5);
    assertThat(bench.field(Kind.SILENT, "name")).containsExactly("generator-unconfirmed");
  }

  /** F19: told to rest again and again, and latched once its last lease is surely over. */
  @Test
  void aWeldedGeneratorIsToldAgainAndLatches() {
    bench.windowOpens();
    bench.live(30);
    bench.generator().welded = true;
    bench.steady(1, 366, 340);
    long before = rests();
    for (int second = 0; second < 120; second++) {
      bench.hear(STATE, "{\"on\":true}");
      bench.live(1);
    }
    assertThat(bench.field(Kind.LATCHED, "name")).containsExactly("generator-on-unasked");
    assertThat(bench.records(Kind.DEVICE)).hasSize(1);
    assertThat(rests() - before).as("every 5 s").isBetween(20L, 26L);
    Duration after = Duration.between(bench.last(Kind.REST).at(), bench.last(Kind.LATCHED).at());
    assertThat(after).isBetween(Duration.ofSeconds(25), Duration.ofSeconds(46));
    bench.redox(320, 322).live(1200);
    assertThat(bench.runs()).isFalse();
  }

  @Test
  void aWeldedGeneratorsTimeCountsInFullThoughItNeverConfirms() {
    bench.windowOpens();
    bench.live(30);
    bench.generator().welded = true;
    bench.steady(60, 366, 340);
    assertThat(bench.last(Kind.SETTLED).why()).isEqualTo("its last lease has run out");
  }

  /** F66: a device that wakes up running. F24: somebody else's command. */
  @Test
  void aGeneratorThatRunsWithoutBeingToldIsPutToRestAtOnce() {
    bench.live(5);
    long before = rests();
    bench.hear(STATE, "{\"on\":true}");
    assertThat(rests()).isEqualTo(before + 1);
    assertThat(bench.last(Kind.DEVICE).why())
        .isEqualTo("generator is on without having been told to run");
    bench.hear(STATE, "{\"on\":false}");
    bench.live(60);
    assertThat(bench.memory().latches()).isEmpty();
    bench.windowOpens();
    assertThat(bench.runs()).isTrue();
  }

  @Test
  void nothingStartsWhileTheGeneratorIsOnUnasked() {
    bench.passesUntil(Bench.WINDOW_OPENS);
    bench.hear(STATE, "{\"on\":true}");
    bench.mute.add(STATE);
    bench.live(100);
    assertThat(bench.runs()).isFalse();
    assertThat(bench.last(Kind.REFUSED).why()).startsWith("generator-on-unasked: ");
  }

  @Test
  void aGeneratorThatFallsOffInARunIsNoticedByItsReport() {
    bench.windowOpens();
    bench.live(30);
    bench.hear(STATE, "{\"on\":false}");
    assertThat(bench.runs()).isFalse();
    assertThat(bench.last(Kind.SILENT).why())
        .isEqualTo("generator was told to run and says that it rests");
  }
}
