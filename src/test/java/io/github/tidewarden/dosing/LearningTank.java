package io.github.tidewarden.dosing;

import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.science.LaggedFirstOrder;
import io.github.tidewarden.science.StepFit;
import io.github.tidewarden.sensing.Measure;
import io.github.tidewarden.sensing.Quality;
import io.github.tidewarden.sensing.Signal;
import java.time.Instant;
import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.Deque;
import java.util.List;
import java.util.SplittableRandom;
import java.util.concurrent.TimeUnit;

/**
 * A tank whose redox answers ozone by a process of first order with dead time, looked at by a probe
 * that lags and has noise, and dosed by what its doses have taught, night after night. The water is
 * solved in closed form between two changes, by the equation itself and not by the classes that
 * learn it.
 */
final class LearningTank {
  static final double RATED = 50;
  private static final long SECOND = 1_000_000_000L;
  private static final int READING_SECONDS = 5;
  private static final int BEFORE_SECONDS = 900;
  private static final int WINDOW_SECONDS = 5400;
  private static final int AFTER_SECONDS = 3600;
  private static final int DAY_SECONDS = 86_400;

  private record Change(double seconds, double feed) {}

  /** What one night came to. */
  record Night(double peakMillivolts, double onSeconds, int doses, int lessons) {}

  final OzoneSpec spec;
  final List<LaggedFirstOrder> answers = new ArrayList<>();
  double noise = 3;
  double dailySwing;
  boolean learns = true;
  Outlook.FirstDose first = Outlook.FirstDose.NONE;

  private final OzoneDosing rule;
  private final double lift;
  private final double tau;
  private final double deadTime;
  private final double lag;
  private final double baseline;
  private final SplittableRandom random;
  private final Deque<Change> underWay = new ArrayDeque<>();
  private double seconds;
  private double feed;
  private double water;
  private double probe;
  private long arrivals;
  private long mono;
  private OzoneDosing.State state;
  private DoseCourse course = DoseCourse.NOTHING;

  /**
   * A tank at rest.
   *
   * @param lift what full ozone comes to in the end, mV
   * @param tau time constant of the water, s
   * @param deadTime s
   * @param lag of the probe, s
   * @param baseline without ozone, mV
   */
  LearningTank(
      double lift,
      double tau,
      double deadTime,
      double lag,
      double baseline,
      SplittableRandom random) {
    this.lift = lift;
    this.tau = tau;
    this.deadTime = deadTime;
    this.lag = lag;
    this.baseline = baseline;
    this.random = random;
    water = baseline;
    probe = baseline;
    spec = DosingBench.spec(340, 365, 400).learning(TimeUnit.SECONDS.toNanos(30));
    rule = new OzoneDosing(spec);
    state = rule.atBoot(now());
  }

  private Moment now() {
    return new Moment(Instant.EPOCH.plusNanos(mono), mono, true);
  }

  private void to(double next) {
    while (!underWay.isEmpty() && underWay.peek().seconds() <= next) {
      Change change = underWay.remove();
      settle(change.seconds());
      feed = change.feed();
    }
    settle(next);
  }

  /** lag y' = w - y, and w goes to its end with tau. */
  private void settle(double next) {
    double dt = next - seconds;
    if (dt <= 0) {
      return;
    }
    seconds = next;
    double end = baseline + lift * feed;
    double away = water - end;
    double slow = Math.exp(-dt / tau);
    double fast = lag > 0 ? Math.exp(-dt / lag) : 0;
    double following = away * tau / (tau - lag);
    probe = end + following * slow + (probe - end - following) * fast;
    water = end + away * slow;
  }

  private double swing() {
    return dailySwing * Math.sin(2 * Math.PI * seconds / DAY_SECONDS);
  }

  /** One night: what comes before its window, the window, and an hour after. */
  Night night() {
    double from = seconds;
    double peak = Double.NEGATIVE_INFINITY;
    boolean on = false;
    double onSince = 0;
    double onSeconds = 0;
    int doses = 0;
    int lessons = 0;
    boolean wasFirst = false;
    double teachesAt = Double.POSITIVE_INFINITY;
    long ran = 0;
    for (int second = 0; second < BEFORE_SECONDS + WINDOW_SECONDS + AFTER_SECONDS; second++) {
      to(from + second);
      mono += SECOND;
      peak = Math.max(peak, water + swing());
      if (second % READING_SECONDS != 0) {
        continue;
      }
      double reading = Math.rint(probe + swing() + noise * random.nextGaussian());
      Signal signal =
          new Signal("redox-a", Measure.REDOX, reading, Quality.GOOD, "", 0, true, ++arrivals);
      course = course.with(signal, now());
      if (seconds >= teachesAt) {
        teachesAt = Double.POSITIVE_INFINITY;
        if (course.fit() instanceof StepFit.Fitted fitted) {
          answers.add(fitted.lagged());
          lessons++;
        }
        if (wasFirst) {
          first = new Outlook.FirstDose(ran, course.lastRise());
        }
      }
      Outlook outlook =
          learns
              ? Outlook.of(List.of(course), List.of(answers), first, spec, on, now())
              : Outlook.NONE;
      boolean open = second >= BEFORE_SECONDS && second < BEFORE_SECONDS + WINDOW_SECONDS;
      boolean wanted = open && onSeconds < 3600;
      OzoneDosing.Proposal proposal =
          rule.propose(state, now(), wanted, on, List.of(signal), outlook);
      state = proposal.state();
      if (proposal.run() != on) {
        on = proposal.run();
        course = course.fed(now(), on ? RATED : -RATED);
        underWay.add(new Change(seconds + deadTime, on ? 1 : 0));
        if (on) {
          onSince = seconds;
          doses++;
          wasFirst = outlook.first();
        } else {
          ran = (long) ((seconds - onSince) * SECOND);
          teachesAt =
              seconds
                  + (wasFirst ? Outlook.AWAITED.toNanos() : spec.shortestOffNanos())
                      / (double) SECOND;
        }
      }
      onSeconds += on ? READING_SECONDS : 0;
    }
    sleeps(from + DAY_SECONDS);
    return new Night(peak, onSeconds, doses, lessons);
  }

  private void sleeps(double until) {
    mono += (long) ((until - seconds) * SECOND);
    to(until);
  }
}
