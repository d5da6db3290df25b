package io.github.tidewarden.exchange;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import io.github.tidewarden.exchange.Exchange.Phase;
import java.util.List;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.EnumSource;

/** The program is killed in every second of a portion; only what is on disk survives. */
class ExchangeCrashTest {
  private static final long SEED = 11;

  /** A cut of the power costs 15 min of virtual time; every third second of it will do. */
  private static int stepSeconds(Cut cut) {
    return cut == Cut.PROGRAM ? 1 : 3;
  }

  /** A pump runs on for its drop-out time, and in the second of the kill. */
  private static final double OVERRUN_LITRES =
      0.25 / 60 * (ExchangeBench.DROP_OUT_SECONDS + 1) + 1e-9;

  /** What is killed, and how the water takes it. */
  private enum Cut {
    /** The program alone: 20 s later it is there again. */
    PROGRAM,
    /** Everything for 5 min; the sump rises, and a sensor sees the return. */
    POWER,
    /** The same where nothing sees the return. */
    POWER_UNSEEN;

    void happen(ExchangeBench bench) {
      if (this == PROGRAM) {
        bench.kill(20);
        return;
      }
      bench.sump.returnRuns = false;
      bench.draining = false;
      bench.filling = false;
      bench.kill(300);
      bench.sump.returnRuns = true;
      if (this == POWER) {
        bench.stops = List.of("circulation-lost");
        bench.seconds(600);
        bench.stops = List.of();
      }
    }
  }

  @ParameterizedTest
  @EnumSource(Cut.class)
  void aPortionKilledInAnySecondIsNeverDrainedTwiceAndIsFilledAgain(Cut cut) {
    int seconds = length(ExchangeSpec.Kind.PORTIONS);
    assertThat(seconds).isBetween(400, 600);
    for (int second = 0; second < seconds; second += stepSeconds(cut)) {
      for (boolean beforeTheDisk : new boolean[] {false, true}) {
        ExchangeBench bench = killed(ExchangeSpec.Kind.PORTIONS, second, beforeTheDisk, cut);
        String told = cut + " in second " + second + ", before the disk " + beforeTheDisk;
        endsWell(bench, told);
      }
    }
  }

  /** As often as a portion may be; with a third start it waits for its keeper. */
  @Test
  void aPortionKilledAgainComesToItsEnd() {
    SplittableRandom random = new SplittableRandom(SEED);
    int seconds = length(ExchangeSpec.Kind.PORTIONS);
    for (int story = 0; story < 200; story++) {
      int second = random.nextInt(5, seconds);
      ExchangeBench bench = killed(ExchangeSpec.Kind.PORTIONS, second, false, Cut.PROGRAM);
      StringBuilder told = new StringBuilder("killed in second " + second);
      int later = random.nextInt(400);
      told.append(", then after ").append(later);
      bench.seconds(later);
      if (bench.portion != null) {
        bench.kill(random.nextInt(1, 60));
      }
      endsWell(bench, told.toString());
    }
  }

  @ParameterizedTest
  @CsvSource({"PROGRAM", "POWER"})
  void pairedHeadsKilledInAnySecondDoNotRunAgain(Cut cut) {
    int seconds = length(ExchangeSpec.Kind.PAIRED);
    for (int second = 0; second < seconds; second += stepSeconds(cut)) {
      ExchangeBench bench = killed(ExchangeSpec.Kind.PAIRED, second, false, cut);
      double out = bench.sump.outLitres;
      boolean begun = bench.portion != null;
      for (int later = 0; bench.portion != null; later++) {
        bench.second();
        assertThat(later).isLessThan(900);
      }
      String told = cut + " in second " + second;
      assertThat(bench.faults).as(told).isEmpty();
      assertThat(bench.sump.outLitres).as(told).isEqualTo(out);
      assertThat(bench.sump.inLitres).as(told).isEqualTo(out, within(1e-9));
      assertThat(bench.outLitres)
          .as("%s: it counts in full", told)
          .isEqualTo(begun ? 0.5 : bench.outLitres);
    }
  }

  /** How many seconds a portion takes from its reservation to its end. */
  private static int length(ExchangeSpec.Kind kind) {
    ExchangeBench bench = asking(kind);
    int seconds = 0;
    while (bench.outLitres == 0) {
      bench.second();
      seconds++;
    }
    return seconds;
  }

  private static ExchangeBench asking(ExchangeSpec.Kind kind) {
    ExchangeBench bench = new ExchangeBench(ExchangeBench.spec(kind, true), SEED);
    bench.warmUp();
    return bench;
  }

  private static ExchangeBench killed(
      ExchangeSpec.Kind kind, int second, boolean beforeTheDisk, Cut cut) {
    ExchangeBench bench = asking(kind);
    bench.seconds(second);
    Exchange.Proposal last = bench.propose();
    if (!beforeTheDisk) {
      bench.fold(last);
    }
    if (bench.portion == null) {
      bench.dueLitres = 0;
    }
    cut.happen(bench);
    return bench;
  }

  private static void endsWell(ExchangeBench bench, String told) {
    double out = bench.sump.outLitres;
    assertThat(out).as(told).isLessThanOrEqualTo(0.5 + OVERRUN_LITRES);
    boolean begun = bench.portion != null;
    double highest = 0;
    for (int second = 0; bench.portion != null; second++) {
      assertThat(second).as("%s: %s", told, bench.proposal).isLessThan(900);
      bench.second();
      highest = Math.max(highest, bench.phase() == Phase.FILLED ? bench.sump.millimetres : 0);
    }
    assertThat(bench.faults).as(told).isEmpty();
    assertThat(bench.sump.outLitres).as(told).isEqualTo(out);
    assertThat(highest).as(told).isLessThan(Sump.NOMINAL_MILLIMETRES + Gauge.DOUBT_MILLIMETRES);
    if (begun) { // 0.18 L are within doubt, and noise is not
      assertThat(bench.sump.inLitres).as("%s: filled again", told).isBetween(out - 0.2, out + 0.2);
      assertThat(bench.surplusLitres()).as(told).isEqualTo(0, within(0.2));
    }
  }
}
