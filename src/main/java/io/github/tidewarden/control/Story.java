package io.github.tidewarden.control;

import io.github.tidewarden.exchange.Exchange;
import io.github.tidewarden.sensing.Quality;
import java.util.Map;
import java.util.Set;
import java.util.regex.Pattern;
import org.jspecify.annotations.Nullable;

/**
 * What is told of the present window, run and signals; nothing is decided by it.
 *
 * @param window redox while the window is open
 * @param run redox in the present run
 * @param refusal the causes of the refusal recorded last; empty for none
 * @param refusalNanos when it was recorded, monotonic; null when none was in the present window
 * @param refusalText why nothing may run now in the keeper's words; empty for no reason
 * @param qualities the quality of each signal as last recorded
 * @param trips why each trip that stands, latched or not, was told to have acted
 * @param quiets how much was recorded of each trip, notice and device lately, by name
 * @param shown what the state topic said last; null when nothing yet
 * @param shownNanos when it did, monotonic
 */
record Story(
    Course window,
    Course run,
    String refusal,
    @Nullable Long refusalNanos,
    String refusalText,
    Map<String, Told> qualities,
    Map<String, String> trips,
    Map<String, Quiet> quiets,
    @Nullable Shown shown,
    long shownNanos) {

  static final Story NOTHING =
      new Story(Course.NONE, Course.NONE, "", null, "", Map.of(), Map.of(), Map.of(), null, 0);

  /**
   * A signal's quality as it was last recorded.
   *
   * @param quality the quality
   * @param sinceNanos when it was recorded, monotonic
   */
  record Told(Quality quality, long sinceNanos) {}

  /**
   * What the state topic says, but for its figures.
   *
   * @param runs whether ozone runs
   * @param exchange what the exchange is about
   * @param exchangeWhy why, in the keeper's words
   * @param open whether a window for ozone is open
   * @param stops the names of all that stops something
   * @param latches what is latched
   */
  record Shown(
      boolean runs,
      Exchange.Phase exchange,
      String exchangeWhy,
      boolean open,
      Set<String> stops,
      Set<String> latches) {

    /** They change all the time; the reason does not. */
    private static final Pattern FIGURES = Pattern.compile("[0-9.]+");

    /** Whether it says the same; figures in its reason make no difference. */
    boolean saysWhat(Shown other) {
      return runs == other.runs
          && exchange == other.exchange
          && open == other.open
          && stops.equals(other.stops)
          && latches.equals(other.latches)
          && (exchangeWhy.equals(other.exchangeWhy)
              || withoutFigures(exchangeWhy).equals(withoutFigures(other.exchangeWhy)));
    }

    private static String withoutFigures(String text) {
      return FIGURES.matcher(text).replaceAll("");
    }
  }

  /**
   * How redox went over a span; of several good probes the highest counts.
   *
   * @param start first value, mV; null when none was heard
   * @param peak highest value, mV; null when none was heard
   * @param last latest value, mV; null when none was heard
   * @param correctedPeak highest value with every calibrated probe corrected, mV; null when none
   *     was heard
   */
  record Course(
      @Nullable Double start,
      @Nullable Double peak,
      @Nullable Double last,
      @Nullable Double correctedPeak) {
    static final Course NONE = new Course(null, null, null, null);

    Course with(double value, @Nullable Double corrected) {
      return new Course(
          start == null ? Double.valueOf(value) : start,
          higher(peak, value),
          value,
          corrected == null ? correctedPeak : higher(correctedPeak, corrected));
    }

    private static Double higher(@Nullable Double peak, double value) {
      return peak == null ? Double.valueOf(value) : Double.valueOf(Math.max(peak, value));
    }
  }
}
