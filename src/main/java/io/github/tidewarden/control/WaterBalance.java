package io.github.tidewarden.control;

import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.exchange.Portion;
import io.github.tidewarden.exchange.Rates;
import io.github.tidewarden.gate.Lease;
import java.util.Objects;
import java.util.concurrent.TimeUnit;

/**
 * How far out and in are apart by what the pumps were told, whatever the level says meanwhile: the
 * portions so far, and the one under way with every fill that may have come before a start of the
 * program.
 */
final class WaterBalance {
  private final Turn turn;
  private final ExchangeSpec spec;
  private final Rates rates;

  /** What went out and did not come in before this run of the program and in it, but for pumps. */
  private final double apartLitres;

  private final boolean filling;

  WaterBalance(Turn turn, ExchangeSpec spec) {
    this.turn = turn;
    this.spec = spec;
    WaterMemory memory = turn.memory.water();
    rates = memory.rates(spec);
    Portion portion = memory.portion();
    filling = portion != null && portion.stage() == Portion.Stage.FILLING;
    double before = memory.apartMillilitres() / 1000.0;
    apartLitres =
        portion == null || !filling
            ? before
            : before
                + portion.outMillilitres() / 1000.0
                - Objects.requireNonNull(turn.tank.exchange).mayHaveFilledLitres(portion);
  }

  /** What the pumps really move. */
  Rates rates() {
    return rates;
  }

  /**
   * What the fill pump may bring in this run of the program before the limit could be passed, L.
   */
  double roomLitres() {
    return spec.imbalanceLitres() + apartLitres - overrunLitres();
  }

  /**
   * What went out and has not come in again if a pump goes on now, mL; negative for too much in.
   *
   * @param fills whether it is the fill pump, which may bring as much as its lease lets it
   */
  long apartMillilitres(boolean fills, Pumping drain, Pumping fill) {
    double out = filling ? 0 : litres(rates.drain(), drain.usedNanos(turn.now));
    double in = litres(rates.fill(), fill.usedNanos(turn.now)) + (fills ? overrunLitres() : 0);
    return Math.round(1000 * (apartLitres + out - in));
  }

  private double overrunLitres() {
    int seconds = Lease.boundSeconds(turn.tank.actuator(spec.fill().name()).dropOutSeconds());
    return litres(rates.fill(), TimeUnit.SECONDS.toNanos(seconds));
  }

  private static double litres(Rates.Rate rate, long nanos) {
    return rate.litresPerMinute() * nanos / TimeUnit.MINUTES.toNanos(1);
  }
}
