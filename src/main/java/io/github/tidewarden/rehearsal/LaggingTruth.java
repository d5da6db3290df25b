package io.github.tidewarden.rehearsal;

import java.util.concurrent.TimeUnit;
import java.util.function.DoubleSupplier;
import java.util.function.LongSupplier;

/**
 * The truth as a slow sensor sees it: through a lag of first order, which fouling lengthens. It is
 * worked out when the sensor is asked, as if what it then finds had been so since it was asked
 * last.
 */
final class LaggingTruth implements DoubleSupplier {
  private static final double NANOS_A_SECOND = TimeUnit.SECONDS.toNanos(1);
  private static final double NANOS_A_DAY = TimeUnit.DAYS.toNanos(1);

  private final DoubleSupplier truth;
  private final double lagSeconds;
  private final TankModel.Fouling fouling;
  private final LongSupplier nowNanos;
  private final long startNanos;
  private long askedNanos;
  private double seen = Double.NaN;

  /**
   * A clean sensor.
   *
   * @param truth what it looks at
   * @param lagSeconds its lag when clean, s, not negative
   * @param fouling what lengthens that
   * @param nowNanos monotonic time
   */
  LaggingTruth(
      DoubleSupplier truth, double lagSeconds, TankModel.Fouling fouling, LongSupplier nowNanos) {
    this.truth = truth;
    this.lagSeconds = lagSeconds;
    this.fouling = fouling;
    this.nowNanos = nowNanos;
    startNanos = nowNanos.getAsLong();
    askedNanos = startNanos;
  }

  @Override
  public double getAsDouble() {
    long now = nowNanos.getAsLong();
    double seconds = (now - askedNanos) / NANOS_A_SECOND;
    double lag = lagSeconds + fouling.lagSeconds((now - startNanos) / NANOS_A_DAY);
    askedNanos = now;
    double is = truth.getAsDouble();
    seen = Double.isNaN(seen) || lag <= 0 ? is : is + (seen - is) * Math.exp(-seconds / lag);
    return seen;
  }
}
