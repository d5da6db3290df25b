package io.github.tidewarden.science;

import java.util.List;
import java.util.Objects;

/**
 * Gain, time constant and dead time of a process of first order, from what a probe read while the
 * feed was switched: the least squares over all readings, the level before included. It says how
 * sure each is, and refuses when the readings do not tell.
 *
 * <p>The rate K/tau and 1/tau are fitted in place of K and tau: a response that has not bent yet
 * tells the rate well, and 1/tau as next to nothing, while K and tau would run off together.
 *
 * <p>A probe that lags makes the process one of second order. While its lag is short against the
 * time constant {@link #fit} finds it as more dead time, so that {@link FirstOrder#riseAfterStop}
 * of the fitted process, with no lag besides, has it in it: but the water itself then goes higher
 * than the probe ever says. {@link #fitLagged} finds the lag as well.
 */
public final class StepFit {
  private StepFit() {}

  /** Fewest readings; caller and bound on the work both want no more than {@link #MOST}. */
  public static final int FEWEST = 20;

  /** Most readings: a fit takes some milliseconds. Average what is more. */
  public static final int MOST = 1000;

  /** Fewest readings before the feed first changes: without them there is no level to rise from. */
  public static final int FEWEST_BEFORE = 3;

  /** The rise must stand out of the noise so many times. */
  private static final double LEAST_RISE_IN_NOISE = 3;

  /**
   * The time constant may be uncertain by this share of it, as a standard error. With more,
   * readings that do not bend at all would pass for a bend too often.
   */
  private static final double MOST_RELATIVE_ERROR = 0.3;

  /** And the dead time by this share of the time that the whole response takes. */
  private static final double MOST_DEAD_TIME_ERROR = 0.25;

  /** How much of what is left over may follow a pattern, as a share of the rise. */
  private static final double MOST_PATTERN = 0.05;

  /** Nothing may be so far off, in standard deviations, unless it is a small share of the rise. */
  private static final double MOST_OFF = 6;

  /** So many standard deviations are more than chance. */
  private static final double SIGNIFICANT = 3.3;

  /** Longest lag of a probe that is looked for, s. */
  public static final double MOST_LAG_SECONDS = 120;

  /** Steps of all lags together. */
  private static final int MOST_STEPS = LeastSquares.MOST_STEPS;

  private static final double[] NO_LAG = {0};
  private static final double[] LAGS = {0, 15, 30, 60, 90, MOST_LAG_SECONDS};

  private static final int LEVEL = 0;
  private static final int RATE = 1;
  private static final int INVERSE_TAU = 2;
  private static final int DEAD_TIME = 3;
  private static final int PARAMETERS = 4;

  /**
   * A change of the feed.
   *
   * @param seconds when, on the clock of the readings
   * @param step by how much more is fed from then on; less is negative
   */
  public record Change(double seconds, double step) {}

  /** Why readings tell nothing. */
  public enum Reason {
    /** Too few readings, or hardly any before the feed changed. */
    TOO_FEW,
    /** The response does not stand out of the noise. */
    TOO_LITTLE_RISE,
    /** What is left over is no noise: something else moved the water, or the probe. */
    DISTURBED,
    /** They end before the response bends, or bends back: how far it would go is not known. */
    TOO_SHORT,
    /** When the response began is not known well enough. */
    DEAD_TIME_UNCLEAR
  }

  /** What came of a fit. */
  public sealed interface Outcome permits Fitted, Refused {}

  /**
   * A process, and how sure it is. All errors are standard errors: two of them either way hold the
   * truth 19 times in 20, if the process is of first order.
   *
   * @param process the process
   * @param level what the probe read before, in its unit
   * @param gainError of the gain
   * @param timeConstantError of the time constant, s
   * @param deadTimeError of the dead time, s
   * @param rateError of {@link FirstOrder#ratePerSecond}
   * @param noise standard deviation of the readings about the fit, in their unit
   * @param lagSeconds of the probe, the best of those that were tried
   */
  public record Fitted(
      FirstOrder process,
      double level,
      double gainError,
      double timeConstantError,
      double deadTimeError,
      double rateError,
      double noise,
      double lagSeconds)
      implements Outcome {

    /** The process with the probe that reads it. */
    public LaggedFirstOrder lagged() {
      return new LaggedFirstOrder(process, lagSeconds);
    }
  }

  /**
   * Nothing was learned.
   *
   * @param reason why
   */
  public record Refused(Reason reason) implements Outcome {}

  /**
   * Fits a process to readings.
   *
   * @param seconds when each reading was taken, rising
   * @param values what the probe read, as many
   * @param changes of the feed, in order, 1 to 20; before the first it was fed steadily
   * @throws IllegalArgumentException when there is no change or too many, there are over {@link
   *     #MOST} readings, their times do not rise, or a number is not finite
   */
  public static Outcome fit(double[] seconds, double[] values, List<Change> changes) {
    return fit(seconds, values, changes, NO_LAG);
  }

  /**
   * Fits a process and the lag of the probe that reads it, of {@link #MOST_LAG_SECONDS} at most:
   * that one of a few lags of which the least is left over. Times, values and changes are as for
   * {@link #fit}.
   */
  public static Outcome fitLagged(double[] seconds, double[] values, List<Change> changes) {
    return fit(seconds, values, changes, LAGS);
  }

  private static Outcome fit(
      double[] seconds, double[] values, List<Change> changes, double[] lags) {
    check(seconds, values, changes);
    double first = changes.get(0).seconds;
    if (seconds.length < FEWEST
        || seconds[FEWEST_BEFORE - 1] >= first
        || seconds[seconds.length - FEWEST_BEFORE] <= first) {
      return new Refused(Reason.TOO_FEW);
    }
    double[] start = new StepResponse(seconds, changes, 0).start(values);
    StepResponse best = null;
    LeastSquares.Solution solution = null;
    for (double lag : lags) {
      StepResponse response = new StepResponse(seconds, changes, lag);
      double[] from = start.clone();
      from[DEAD_TIME] = Math.max(0, from[DEAD_TIME] - lag);
      LeastSquares.Solution tried =
          LeastSquares.solve(response, values, from, MOST_STEPS / lags.length);
      if (solution == null || tried.sumOfSquares() < solution.sumOfSquares()) {
        best = response;
        solution = tried;
      }
    }
    return judge(Objects.requireNonNull(best), values, Objects.requireNonNull(solution));
  }

  private static void check(double[] seconds, double[] values, List<Change> changes) {
    if (seconds.length != values.length || seconds.length > MOST) {
      throw new IllegalArgumentException(
          seconds.length + " times and " + values.length + " readings; at most " + MOST);
    }
    Bounds.within("changes of the feed", changes.size(), 1, 20);
    for (int i = 0; i < seconds.length; i++) {
      finite(seconds[i]);
      finite(values[i]);
      if (i > 0 && seconds[i] <= seconds[i - 1]) {
        throw new IllegalArgumentException("the times of the readings must rise");
      }
    }
    for (Change change : changes) {
      finite(change.seconds);
      finite(change.step);
    }
  }

  private static void finite(double value) {
    if (!Double.isFinite(value)) {
      throw new IllegalArgumentException("a reading or time is " + value);
    }
  }

  private static Outcome judge(
      StepResponse response, double[] values, LeastSquares.Solution solution) {
    double[] found = solution.parameters();
    Residuals left = Residuals.of(response, values, found);
    double noise = Math.sqrt(solution.sumOfSquares() / (values.length - PARAMETERS));
    // Written so that what is not a number is refused too.
    if (!(left.rise > LEAST_RISE_IN_NOISE * noise
        && Math.abs(found[RATE]) > SIGNIFICANT * solution.error(RATE))) {
      return new Refused(left.disturbed(noise) ? Reason.DISTURBED : Reason.TOO_LITTLE_RISE);
    }
    if (left.disturbed(noise)) {
      return new Refused(Reason.DISTURBED);
    }
    if (!(found[INVERSE_TAU] > 0
        && solution.settled()
        && solution.error(INVERSE_TAU) <= MOST_RELATIVE_ERROR * found[INVERSE_TAU])) {
      return new Refused(Reason.TOO_SHORT);
    }
    double tau = 1 / found[INVERSE_TAU];
    double deadTime = Math.max(0, found[DEAD_TIME]);
    if (!(solution.error(DEAD_TIME) <= MOST_DEAD_TIME_ERROR * (tau + deadTime))) {
      return new Refused(Reason.DEAD_TIME_UNCLEAR);
    }
    return new Fitted(
        new FirstOrder(found[RATE] * tau, tau, deadTime),
        found[LEVEL],
        gainError(solution, tau),
        solution.error(INVERSE_TAU) * tau * tau,
        solution.error(DEAD_TIME),
        solution.error(RATE),
        noise,
        response.lag);
  }

  /** By how much K = R / lambda is off when both are, and together. */
  private static double gainError(LeastSquares.Solution solution, double tau) {
    double byInverse = -solution.parameters()[RATE] * tau * tau;
    double[][] covariance = solution.covariance();
    return Math.sqrt(
        tau * tau * covariance[RATE][RATE]
            + 2 * tau * byInverse * covariance[RATE][INVERSE_TAU]
            + byInverse * byInverse * covariance[INVERSE_TAU][INVERSE_TAU]);
  }

  /**
   * What a fit leaves over.
   *
   * @param rise how far the fitted response goes from its level at most
   * @param meanSquare of what is left over
   * @param fromNext mean square of what two neighbours differ, halved: noise alone, for a pattern
   *     hardly changes from one reading to the next (von Neumann's ratio)
   * @param largest of what is left over
   * @param count of the readings
   */
  private record Residuals(
      double rise, double meanSquare, double fromNext, double largest, int count) {

    static Residuals of(StepResponse response, double[] values, double[] found) {
      double[] gradient = new double[PARAMETERS];
      double rise = 0;
      double squares = 0;
      double differences = 0;
      double largest = 0;
      double before = Double.NaN;
      for (int i = 0; i < values.length; i++) {
        double fitted = response.at(i, found, gradient);
        double left = values[i] - fitted;
        rise = Math.max(rise, Math.abs(fitted - found[LEVEL]));
        squares += left * left;
        differences += i == 0 ? 0 : (left - before) * (left - before);
        largest = Math.max(largest, Math.abs(left));
        before = left;
      }
      return new Residuals(
          rise,
          squares / values.length,
          differences / (2 * (values.length - 1)),
          largest,
          values.length);
    }

    boolean disturbed(double noise) {
      double pattern = Math.sqrt(Math.max(0, meanSquare - fromNext));
      boolean significant = meanSquare - fromNext > SIGNIFICANT / Math.sqrt(count) * meanSquare;
      return (significant && pattern > MOST_PATTERN * rise)
          || (largest > MOST_OFF * noise && largest > MOST_PATTERN * rise);
    }
  }

  /** Level plus rate times the sum of the steps, each as far as it has come. */
  private static final class StepResponse implements LeastSquares.Model {
    /** So many readings are enough to begin with. */
    private static final int ENOUGH = 60;

    private static final int TAUS = 16;
    private static final int DEAD_TIMES = 28;

    private final double[] seconds;
    private final List<Change> changes;
    private final double span;
    private final double lag;

    StepResponse(double[] seconds, List<Change> changes, double lag) {
      this.lag = lag;
      this.seconds = seconds;
      this.changes = changes;
      this.span = seconds[seconds.length - 1] - changes.get(0).seconds;
    }

    @Override
    public double at(int point, double[] parameters, double[] gradient) {
      double rate = parameters[RATE];
      double inverse = parameters[INVERSE_TAU];
      if (inverse * span < -1 || Math.abs(parameters[DEAD_TIME]) > span) {
        return Double.NaN;
      }
      double shape = 0;
      double byInverse = 0;
      double byDeadTime = 0;
      for (Change change : changes) {
        double after = seconds[point] - change.seconds - parameters[DEAD_TIME];
        if (after > 0) {
          shape += change.step * LaggedFirstOrder.shape(after, inverse, lag);
          byInverse += change.step * LaggedFirstOrder.byInverse(after, inverse, lag);
          byDeadTime -= change.step * LaggedFirstOrder.slope(after, inverse, lag);
        }
      }
      gradient[LEVEL] = 1;
      gradient[RATE] = shape;
      gradient[INVERSE_TAU] = rate * byInverse;
      gradient[DEAD_TIME] = rate * byDeadTime;
      return parameters[LEVEL] + rate * shape;
    }

    /**
     * Where to begin: the best of a grid over time constant and dead time, for each of which level
     * and rate are a straight line through the readings.
     */
    double[] start(double[] values) {
      double[] best = new double[PARAMETERS];
      double least = Double.POSITIVE_INFINITY;
      for (int i = 0; i < TAUS; i++) {
        // From a fiftieth of the span to five times it.
        double inverse = 50 / span * Math.pow(1.0 / 250, i / (TAUS - 1.0));
        for (int j = 0; j < DEAD_TIMES; j++) {
          double[] tried = {0, 1, inverse, 0.8 * span * j * j / (DEAD_TIMES * DEAD_TIMES)};
          double left = line(tried, values);
          if (left < least) {
            least = left;
            best = tried;
          }
        }
      }
      return best;
    }

    /** Fits level and rate, writes them into what is tried, and tells the squares left over. */
    private double line(double[] tried, double[] values) {
      // Only to begin with: some of the readings do.
      int every = Math.max(1, values.length / ENOUGH);
      int n = (values.length + every - 1) / every;
      double[] shapes = new double[n];
      double sumX = 0;
      double sumY = 0;
      for (int i = 0; i < n; i++) {
        shapes[i] = shape(i * every, tried[INVERSE_TAU], tried[DEAD_TIME]);
        sumX += shapes[i];
        sumY += values[i * every];
      }
      double xx = 0;
      double xy = 0;
      double yy = 0;
      for (int i = 0; i < n; i++) {
        double x = shapes[i] - sumX / n;
        double y = values[i * every] - sumY / n;
        xx += x * x;
        xy += x * y;
        yy += y * y;
      }
      tried[RATE] = xy / xx;
      tried[LEVEL] = sumY / n - tried[RATE] * sumX / n;
      return xx > 0 ? yy - xy * xy / xx : Double.POSITIVE_INFINITY;
    }

    private double shape(int point, double inverse, double deadTime) {
      double shape = 0;
      for (Change change : changes) {
        double after = seconds[point] - change.seconds - deadTime;
        shape += after > 0 ? change.step * LaggedFirstOrder.shape(after, inverse, lag) : 0;
      }
      return shape;
    }
  }
}
