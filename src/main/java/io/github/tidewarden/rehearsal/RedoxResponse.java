package io.github.tidewarden.rehearsal;

import java.util.ArrayDeque;
import java.util.Arrays;
import java.util.Deque;

/**
 * Redox of the water as a first-order process with dead time, and what lagging probes see of it.
 * Every step between two changes of the input is solved in closed form, so the result does not
 * depend on how often one looks. What the day does is added to that.
 */
final class RedoxResponse {

  /** Most changes of the feed under way in the dead time; later ones then replace the last. */
  static final int MAX_CHANGES = 4096;

  private record Change(double seconds, double feed) {}

  private final double gain;
  private final double timeConstant;
  private final double deadTime;
  private final DailyCourse course;
  private final double[] lags;
  private final double[] probes;
  private final Deque<Change> underWay = new ArrayDeque<>();
  private double seconds;
  private double baseline;
  private double feed;
  private double water;

  RedoxResponse(TankModel model) {
    gain = model.redox().gainMillivoltsPerMilligramHour();
    timeConstant = model.redox().timeConstantSeconds();
    deadTime = model.redox().deadTimeSeconds();
    course = model.redox().course();
    baseline = model.redox().baselineMillivolts();
    water = model.redox().startMillivolts();
    lags = model.probes().stream().mapToDouble(TankModel.Probe::lagSeconds).toArray();
    probes = new double[lags.length];
    Arrays.fill(probes, water);
  }

  double waterMillivolts() {
    return water + course.millivolts(seconds, 0);
  }

  double probeMillivolts(int probe) {
    return probes[probe] + course.millivolts(seconds, lags[probe]);
  }

  void baseline(double millivolts) {
    baseline = millivolts;
  }

  /** The ozone that reaches the water from now on, mg/h. */
  void feed(double milligramsPerHour) {
    double at = seconds + deadTime;
    if (underWay.size() == MAX_CHANGES) {
      at = underWay.removeLast().seconds();
    }
    underWay.addLast(new Change(at, milligramsPerHour));
  }

  /** Goes on to that many seconds since the start; going back does nothing. */
  void advanceTo(double newSeconds) {
    for (Change next = underWay.peek(); next != null && next.seconds() <= newSeconds; ) {
      settle(next.seconds());
      feed = next.feed();
      underWay.remove();
      next = underWay.peek();
    }
    settle(newSeconds);
  }

  private void settle(double newSeconds) {
    double dt = newSeconds - seconds;
    if (dt <= 0) {
      return;
    }
    seconds = newSeconds;
    double end = baseline + gain * feed;
    double away = water - end;
    for (int i = 0; i < probes.length; i++) {
      probes[i] = end + probeAway(probes[i] - end, away, lags[i], dt);
    }
    water = end + away * Math.exp(-dt / timeConstant);
  }

  /**
   * Solves {@code lag p' = w - p} with {@code w = away exp(-t/T)}; for a lag that equals the time
   * constant the limit of the general solution is taken.
   */
  private double probeAway(double start, double away, double lag, double dt) {
    double slow = Math.exp(-dt / timeConstant);
    if (lag <= 0) {
      return away * slow;
    }
    double fast = Math.exp(-dt / lag);
    if (Math.abs(timeConstant - lag) < 1e-6 * timeConstant) {
      return (start + away * dt / timeConstant) * slow;
    }
    double following = away * timeConstant / (timeConstant - lag);
    return following * slow + (start - following) * fast;
  }
}
