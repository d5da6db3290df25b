package io.github.tidewarden.config;

import static io.github.tidewarden.interlock.TankFunction.EXCHANGE;
import static io.github.tidewarden.interlock.TankFunction.OZONE;
import static io.github.tidewarden.interlock.TankFunction.TOP_OFF;
import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.interlock.Arming;
import io.github.tidewarden.interlock.Condition;
import io.github.tidewarden.interlock.Condition.Above;
import io.github.tidewarden.interlock.Condition.AnyOf;
import io.github.tidewarden.interlock.Condition.Apart;
import io.github.tidewarden.interlock.Condition.Below;
import io.github.tidewarden.interlock.Condition.Is;
import io.github.tidewarden.interlock.Condition.Not;
import io.github.tidewarden.interlock.Condition.Outside;
import io.github.tidewarden.interlock.InterlockSpec;
import java.util.List;
import java.util.Set;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.Test;

/** Interlocks that the keeper makes tighter, and those that the keeper adds. */
class KeepersInterlocksTest {

  @Test
  void aStandardOneIsMadeTighter() throws ConfigException {
    InterlockSpec air =
        withInterlock(
            "air-lost: { for: 2 s, rest: 20 min, latch-after: 10 s, stops: [ozone, exchange] }",
            "air-lost");

    assertThat(air.cause()).isEqualTo(new Below("skimmer-air", 3));
    assertThat(air.arming()).isEqualTo(Arming.RUNNING);
    assertThat(air.forNanos()).isEqualTo(seconds(2));
    assertThat(air.restNanos()).isEqualTo(seconds(1200));
    assertThat(air.latchWhen()).isEqualTo(air.cause());
    assertThat(air.latchForNanos()).isEqualTo(seconds(10));
    assertThat(air.stops()).containsExactlyInAnyOrder(OZONE, EXCHANGE);
  }

  @Test
  void aTighterLimitMovesTheLatchWithIt() throws ConfigException {
    InterlockSpec apart = withInterlock("probes-apart: { apart: 45 mV }", "probes-apart");

    Condition tighter = new Apart(List.of("redox-a", "redox-b"), 45);
    assertThat(apart.cause()).isEqualTo(tighter);
    assertThat(apart.latchWhen()).isEqualTo(tighter);
  }

  @Test
  void whatNewWaterMayDifferByIsMadeTighter() throws ConfigException {
    ConfigText text =
        lab("new-water-salinity: { within: 0.5 PSU }\n      new-water-temperature: { apart: 1.5 Cel }")
            .withSensorsInTheBin();

    assertThat(named(text, "new-water-salinity").cause())
        .isEqualTo(new Outside("bin-salinity", 34.5, 35.5));
    assertThat(named(text, "new-water-temperature").cause())
        .isEqualTo(new Apart(List.of("bin-warmth", "warmth"), 1.5));
  }

  @Test
  void redoxLowIsTightenedUpwards() throws ConfigException {
    InterlockSpec low = withInterlock("redox-low: { below: 250 mV }", "redox-low");

    assertThat(low.cause())
        .isEqualTo(new AnyOf(List.of(new Below("redox-a", 250), new Below("redox-b", 250))));
    assertThat(low.notice()).isTrue();
  }

  @Test
  void aNoticeThatStopsNothingCanBeSetFreely() throws ConfigException {
    InterlockSpec notice =
        withInterlock("room-ozone-notice: { above: 70 ppb, for: 10 min }", "room-ozone-notice");

    assertThat(notice.cause()).isEqualTo(new Above("room-ozone", 70));
    assertThat(notice.forNanos()).isEqualTo(seconds(600));
    assertThat(notice.notice()).isTrue();
    assertThat(notice.stops()).isEmpty();
  }

  @Test
  void aNoticeThatIsGivenSomethingToStopBecomesATrip() throws ConfigException {
    InterlockSpec trip =
        withInterlock("room-ozone-notice: { stops: [ozone] }", "room-ozone-notice");

    assertThat(trip.notice()).isFalse();
    assertThat(trip.stops()).containsExactly(OZONE);
  }

  @Test
  void oneThatDoesNotLatchCanBeMadeTo() throws ConfigException {
    InterlockSpec circulation =
        withInterlock("circulation-lost: { latch-after: 1 min }", "circulation-lost");

    assertThat(circulation.latchWhen()).isEqualTo(new Is("circulation", false));
    assertThat(circulation.latchForNanos()).isEqualTo(seconds(60));
  }

  @Test
  void theTripLimitOfARoomIsThatOfItsSensor() throws ConfigException {
    InterlockSpec room =
        named(
            ConfigText.lab()
                .with(
                    "measures: ozone-in-air, unit: ppb",
                    "measures: ozone-in-air, unit: ppb, high: 0.08 ppm"),
            "room-ozone");

    assertThat(room.cause()).isEqualTo(new Above("room-ozone", 80));
    assertThat(room.latchWhen()).isEqualTo(room.cause());
  }

  @Test
  void oneIsAddedAfterTheStandardOnes() throws ConfigException {
    Configuration read =
        lab("very-high: { signal: sump, above: 26 cm, clear-below: 220 mm, for: 3 s, latch: true, stops: [ozone, exchange, top-off] }")
            .read();
    List<InterlockSpec> interlocks = read.site().tanks().get(0).interlocks();

    assertThat(interlocks.get(interlocks.size() - 1))
        .isEqualTo(
            new InterlockSpec(
                "very-high",
                new Above("sump", 260),
                Arming.ALWAYS,
                false,
                seconds(3),
                new Not(new Above("sump", 220)),
                seconds(600),
                new Above("sump", 260),
                seconds(3),
                0,
                Set.of(OZONE, EXCHANGE, TOP_OFF)));
  }

  @Test
  void addedOnesTakeEveryKindOfLimit() throws ConfigException {
    assertThat(
            withInterlock(
                "a: { signal: sump, below: 100 mm, clear-above: 120 mm, stops: [exchange] }", "a"))
        .satisfies(
            spec -> {
              assertThat(spec.cause()).isEqualTo(new Below("sump", 100));
              assertThat(spec.clear()).isEqualTo(new Not(new Below("sump", 120)));
              assertThat(spec.latchWhen()).isNull();
            });
    assertThat(
            withInterlock(
                "a: { signal: salinity, outside: [30 PSU, 40 PSU], rest: 0 s, stops: [ozone] }",
                "a"))
        .satisfies(
            spec -> {
              assertThat(spec.cause()).isEqualTo(new Outside("salinity", 30, 40));
              assertThat(spec.restNanos()).isZero();
              assertThat(spec.clear()).isNull();
            });
    assertThat(withInterlock("a: { signal: floor, is: dry, stops: [ozone] }", "a").cause())
        .isEqualTo(new Is("floor", false));
    assertThat(named(lab("a: { signal: waste, is: empty, stops: [] }").withWaste(), "a").cause())
        .isEqualTo(new Is("waste", false));
    assertThat(withInterlock("a: { signal: circulation, is: running, stops: [] }", "a"))
        .satisfies(
            spec -> {
              assertThat(spec.cause()).isEqualTo(new Is("circulation", true));
              assertThat(spec.notice()).isTrue();
            });
  }

  private static ConfigText lab(String line) {
    String end = "    # Tighter than the standard";
    return ConfigText.lab().with(end, "    interlocks:\n      " + line + "\n" + end);
  }

  private static InterlockSpec withInterlock(String line, String name) throws ConfigException {
    return named(lab(line), name);
  }

  private static InterlockSpec named(ConfigText text, String name) throws ConfigException {
    return text.read().site().tanks().get(0).interlocks().stream()
        .filter(spec -> spec.name().equals(name))
        .findFirst()
        .orElseThrow();
  }

  private static long seconds(long seconds) {
    return TimeUnit.SECONDS.toNanos(seconds);
  }
}
