package io.github.tidewarden.sensing;

import io.github.tidewarden.quantity.Moment;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;

/**
 * The last two minutes of one signal, for what a single noisy reading cannot tell: its mean,
 * whether it stands still, and how fast it moves. Immutable. A signal that is not good begins it
 * anew, so nothing is told across a gap.
 */
public final class Trend {

  /** Nothing heard. */
  public static final Trend EMPTY = new Trend(List.of());

  /** How far back it looks. */
  public static final Duration KEPT = Duration.ofMinutes(2);

  /** Two means over this span each are compared to tell whether the signal stands still. */
  static final Duration HALF = Duration.ofSeconds(30);

  /** Readings that follow each other faster are thinned. */
  static final Duration SHORTEST_STEP = Duration.ofMillis(500);

  /** Fewest readings of which a mean is taken. */
  static final int FEWEST = 3;

  private record Point(long monoNanos, double value) {}

  private final List<Point> points;

  private Trend(List<Point> points) {
    this.points = List.copyOf(points);
  }

  /** With what the signal says now; the same reading again changes nothing. */
  public Trend with(Signal signal, Moment now) {
    if (!signal.good() || !Double.isFinite(signal.value())) {
      return EMPTY;
    }
    long arrived = now.monoNanos() - signal.ageNanos();
    if (!points.isEmpty()
        && arrived - points.get(points.size() - 1).monoNanos() < SHORTEST_STEP.toNanos()) {
      return this;
    }
    List<Point> kept = new ArrayList<>();
    for (Point point : points) {
      if (now.since(point.monoNanos()) <= KEPT.toNanos()) {
        kept.add(point);
      }
    }
    kept.add(new Point(arrived, signal.value()));
    return new Trend(kept);
  }

  /**
   * The mean over the {@code span} before now, in the signal's unit; NaN when fewer than three
   * readings came in it.
   */
  public double mean(Duration span, Moment now) {
    return meanBetween(span.toNanos(), -1, now);
  }

  /**
   * Whether the mean of the last half minute differs from that of the half minute before by less
   * than {@code tolerance}, in the signal's unit. False when there are too few readings to tell.
   */
  public boolean steady(double tolerance, Moment now) {
    double late = mean(HALF, now);
    double early = meanBetween(2 * HALF.toNanos(), HALF.toNanos(), now);
    return Math.abs(late - early) < tolerance;
  }

  /**
   * How fast the signal moves, in its unit per minute: the slope of a least-squares line over the
   * last two minutes. NaN when they are not filled with readings.
   */
  public double perMinute(Moment now) {
    if (points.size() < FEWEST
        || now.since(points.get(0).monoNanos()) < KEPT.minus(HALF).toNanos()) {
      return Double.NaN;
    }
    double meanMinutes = 0;
    double meanValue = 0;
    for (Point point : points) {
      meanMinutes += minutes(point, now) / points.size();
      meanValue += point.value() / points.size();
    }
    double products = 0;
    double squares = 0;
    for (Point point : points) {
      double minutes = minutes(point, now) - meanMinutes;
      products += minutes * (point.value() - meanValue);
      squares += minutes * minutes;
    }
    return products / squares;
  }

  private static double minutes(Point point, Moment now) {
    return -now.since(point.monoNanos()) / 60e9;
  }

  /** Of readings that are at most {@code from} old and older than {@code to}. */
  private double meanBetween(long from, long to, Moment now) {
    double sum = 0;
    int count = 0;
    for (Point point : points) {
      long age = now.since(point.monoNanos());
      if (age <= from && age > to) {
        sum += point.value();
        count++;
      }
    }
    return count < FEWEST ? Double.NaN : sum / count;
  }
}
