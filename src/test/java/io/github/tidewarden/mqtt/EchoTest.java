package io.github.tidewarden.mqtt;

import static io.github.tidewarden.mqtt.Echo.Meaning.ALIVE;
import static io.github.tidewarden.mqtt.Echo.Meaning.NOTHING;
import static io.github.tidewarden.mqtt.Echo.Meaning.TAKEN_OVER;
import static java.nio.charset.StandardCharsets.UTF_8;
import static org.assertj.core.api.Assertions.assertThat;

import org.junit.jupiter.api.Test;

class EchoTest {
  private static final long SECOND = 1_000_000_000L;
  private static final byte[] FOREIGN = "another daemon 17".getBytes(UTF_8);

  private static Echo echo(Identity identity) {
    Echo echo = new Echo(LinkTiming.STANDARD, "tidewarden/harbour-lab/echo", identity);
    echo.connected(100 * SECOND);
    return echo;
  }

  @Test
  void isDueFiveSecondsAfterTheLastAndNotBeforeTheFirst() {
    Echo echo = echo(Identity.fresh());
    assertThat(echo.isDue(200 * SECOND)).isFalse();
    echo.next(101 * SECOND);
    assertThat(echo.isDue(106 * SECOND - 1)).isFalse();
    assertThat(echo.isDue(106 * SECOND)).isTrue();
  }

  @Test
  void isMissingTenSecondsAfterTheConnectionAndAfterTheLastThatCame() {
    Echo echo = echo(Identity.fresh());
    assertThat(echo.isMissing(110 * SECOND - 1)).isFalse();
    assertThat(echo.isMissing(110 * SECOND)).isTrue();

    Outgoing sent = echo.next(105 * SECOND);
    assertThat(echo.arrived(sent.payload(), false, 106 * SECOND)).isEqualTo(ALIVE);
    assertThat(echo.isMissing(116 * SECOND - 1)).isFalse();
    assertThat(echo.isMissing(116 * SECOND)).isTrue();
  }

  @Test
  void aRetainedOrForeignEchoProvesNothing() {
    Echo echo = echo(Identity.fresh());
    Outgoing sent = echo.next(105 * SECOND);
    assertThat(echo.arrived(sent.payload(), true, 106 * SECOND)).isEqualTo(NOTHING);
    assertThat(echo.arrived(FOREIGN, false, 106 * SECOND)).isEqualTo(NOTHING);
    assertThat(echo.isMissing(110 * SECOND)).isTrue();
    assertThat(echo.provenNanos()).isEqualTo(100 * SECOND);
  }

  @Test
  void provesTheBrokerAwakeUntilTheEchoWasSentAndNotUntilItCame() {
    Echo echo = echo(Identity.fresh());
    Outgoing first = echo.next(101 * SECOND);
    Outgoing second = echo.next(102 * SECOND);
    echo.arrived(second.payload(), false, 109 * SECOND);
    assertThat(echo.provenNanos()).isEqualTo(102 * SECOND);
    echo.arrived(first.payload(), false, 109 * SECOND);
    assertThat(echo.provenNanos()).isEqualTo(102 * SECOND);
  }

  @Test
  void aForgedTimeProvesNothing() {
    Identity identity = Identity.fresh();
    Echo echo = echo(identity);
    echo.next(101 * SECOND);
    echo.arrived((identity.mark() + " " + 500 * SECOND).getBytes(UTF_8), false, 102 * SECOND);
    echo.arrived((identity.mark() + " now").getBytes(UTF_8), false, 102 * SECOND);
    assertThat(echo.provenNanos()).isEqualTo(100 * SECOND);
  }

  @Test
  void theFirstConnectionLeavesItsMarkAtOnceWhoeverWasThereBefore() {
    Echo echo = echo(Identity.fresh());
    assertThat(echo.arrived(FOREIGN, true, 101 * SECOND)).isEqualTo(NOTHING);
    assertThat(echo.next(101 * SECOND).retained()).isTrue();
  }

  @Test
  void aLaterConnectionThatFindsAnotherMarkHasBeenTakenOver() {
    Echo echo = echo(Identity.fresh().heard());
    assertThat(echo.arrived(FOREIGN, true, 101 * SECOND)).isEqualTo(TAKEN_OVER);
  }

  @Test
  void aLaterConnectionLooksBeforeItLeavesItsMarkAgain() {
    Identity identity = Identity.fresh().heard();
    Echo echo = echo(identity);
    Outgoing first = echo.next(101 * SECOND);
    assertThat(first.retained()).isFalse();
    assertThat(echo.arrived((identity.mark() + " 17").getBytes(UTF_8), true, 101 * SECOND))
        .isEqualTo(NOTHING);
    echo.arrived(first.payload(), false, 102 * SECOND);
    assertThat(echo.next(106 * SECOND).retained()).isTrue();
  }

  @Test
  void oneThatLeavesNeitherMarksNorMinds() {
    Identity leaving = Identity.fresh().heard().takenOver();
    Echo echo = echo(leaving);
    assertThat(echo.arrived(FOREIGN, true, 101 * SECOND)).isEqualTo(NOTHING);
    Outgoing sent = echo.next(101 * SECOND);
    assertThat(sent.retained()).isFalse();
    assertThat(echo.arrived(sent.payload(), false, 102 * SECOND)).isEqualTo(ALIVE);
    assertThat(echo.next(106 * SECOND).retained()).isFalse();
    assertThat(leaving.heard()).isEqualTo(leaving);
    assertThat(leaving.clientId("tidewarden-harbour-lab"))
        .startsWith("tidewarden-harbour-lab-leaving-");
  }
}
