package io.github.tidewarden.dosing;

import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.science.LaggedFirstOrder;
import java.time.Duration;
import java.util.List;

/**
 * What is foreseen of a dose. A tank that has taught how it answers ozone is dosed by that: the
 * dose ends when the water would go to the end of the band by itself. One that has not is given
 * first doses: a short one, and each next one at most twice as long, and no longer than the rise of
 * the last one lets it stay within the band. What water does is at most in proportion to the dose,
 * so no first dose goes far beyond.
 *
 * @param peakMillivolts how high the water will go though no more is fed from now on; NaN for
 *     unknown, negative infinity where nothing is foreseen
 * @param shortestMillivolts how high it would go with the shortest dose, alike
 * @param longestNanos how long a dose may be
 * @param first whether it is a first dose, whose effect is awaited before the next
 */
public record Outlook(
    double peakMillivolts, double shortestMillivolts, long longestNanos, boolean first) {

  /** Where doses end by the band alone. */
  public static final Outlook NONE =
      new Outlook(Double.NEGATIVE_INFINITY, Double.NEGATIVE_INFINITY, Long.MAX_VALUE, false);

  /** A dose is not made shorter, s. */
  static final double SHORTEST_SECONDS = 30;

  /**
   * How long the effect of a first dose is awaited; dead time and lag of any tank are over then.
   */
  public static final Duration AWAITED = Duration.ofMinutes(20);

  /** So many answers of each probe make a tank that has taught. */
  static final int FEWEST = 2;

  /** The highest of so many last answers counts. */
  static final int MOST = 5;

  /** What noise may hide of a rise, mV. */
  private static final double DOUBT_MILLIVOLTS = 2;

  private static final double LONGER = 2;

  /**
   * The last first dose.
   *
   * @param ranNanos how long it was; 0 for none yet
   * @param riseMillivolts by how much it lifted the redox, on the probe that it lifted most
   */
  public record FirstDose(long ranNanos, double riseMillivolts) {
    /** None yet. */
    public static final FirstDose NONE = new FirstDose(0, 0);
  }

  /**
   * What is foreseen now.
   *
   * @param courses of each probe
   * @param answers that each probe has taught, oldest first, in the same order
   * @param last the last first dose
   * @param spec of the tank
   * @param dosing whether a dose is under way
   */
  public static Outlook of(
      List<DoseCourse> courses,
      List<List<LaggedFirstOrder>> answers,
      FirstDose last,
      OzoneSpec spec,
      boolean dosing,
      Moment now) {
    if (spec.firstDoseNanos() == 0) {
      return NONE;
    }
    if (answers.stream().anyMatch(known -> known.size() < FEWEST)) {
      return first(courses, last, spec);
    }
    double rate = spec.ratedMilligramsPerHour();
    double peak = Double.NEGATIVE_INFINITY;
    double shortest = Double.NEGATIVE_INFINITY;
    for (int probe = 0; probe < courses.size(); probe++) {
      DoseCourse course = courses.get(probe);
      List<LaggedFirstOrder> known = answers.get(probe);
      for (LaggedFirstOrder answer :
          known.subList(Math.max(0, known.size() - MOST), known.size())) {
        // Math.max keeps what is not a number.
        peak = Math.max(peak, course.peak(answer, now, dosing ? -rate : 0, 0));
        shortest =
            Math.max(shortest, course.peak(answer, now, dosing ? 0 : rate, SHORTEST_SECONDS));
      }
    }
    return new Outlook(peak, shortest, Long.MAX_VALUE, false);
  }

  private static Outlook first(List<DoseCourse> courses, FirstDose last, OzoneSpec spec) {
    double highest = Double.NEGATIVE_INFINITY;
    for (DoseCourse course : courses) {
      highest = Math.max(highest, course.last());
    }
    double room = spec.stopAboveMillivolts() - highest;
    double longest = spec.firstDoseNanos();
    if (last.ranNanos() > 0) {
      double rise = Math.max(0, last.riseMillivolts()) + DOUBT_MILLIVOLTS;
      longest = last.ranNanos() * Math.min(LONGER, room / rise);
    }
    long nanos = (long) Math.max(SHORTEST_SECONDS * 1e9, longest);
    double shortest =
        last.ranNanos() == 0
            ? highest
            : highest
                + Math.max(0, last.riseMillivolts()) * SHORTEST_SECONDS * 1e9 / last.ranNanos();
    return new Outlook(highest, shortest, nanos, true);
  }
}
