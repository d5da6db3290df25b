package io.github.tidewarden.dosing;

import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.science.LaggedFirstOrder;
import io.github.tidewarden.science.StepFit;
import io.github.tidewarden.sensing.Robust;
import io.github.tidewarden.sensing.Signal;
import java.time.Duration;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;

/**
 * What one redox probe said of late, in means over 20 s, and what was fed meanwhile: of that a tank
 * is learned, and by that a dose is foreseen. Immutable. A signal that is not good begins it anew,
 * but what was fed stays.
 */
public final class DoseCourse {

  /** Nothing heard, nothing fed. */
  public static final DoseCourse NOTHING =
      new DoseCourse(new long[0], new double[0], List.of(), 0, 0, 0, 0);

  /** Over this span readings are averaged. */
  static final Duration MEAN = Duration.ofSeconds(20);

  /** Most means: a window of two hours and a half with what comes before. */
  static final int MOST = 480;

  /** Most points of a fit. */
  private static final int MOST_FITTED = 240;

  /** How many are kept while nothing was fed: ten minutes. */
  static final int BEFORE = 30;

  /** Most changes of what is fed, as many as a fit takes. */
  static final int MOST_FEEDS = 20;

  /** What was fed longer ago is over: the water has forgotten it. */
  static final Duration FORGOTTEN = Duration.ofHours(3);

  /** So many of the last means tell where the water is: two minutes. */
  private static final int RECENT = 6;

  private static final int FEWEST = 3;
  private static final double NANOS = 1e9;

  /** A change of what is fed, by how much, mg/h. */
  private record Feed(long monoNanos, double step) {}

  /** The middle of each mean, monotonic, in order. */
  private final long[] monoNanos;

  private final double[] millivolts;
  private final List<Feed> feeds;

  // The mean that is being made.
  private final double sum;
  private final int count;
  private final long fromNanos;
  private final long arrivalNumber;

  private DoseCourse(
      long[] monoNanos,
      double[] millivolts,
      List<Feed> feeds,
      double sum,
      int count,
      long fromNanos,
      long arrivalNumber) {
    this.monoNanos = monoNanos;
    this.millivolts = millivolts;
    this.feeds = feeds;
    this.sum = sum;
    this.count = count;
    this.fromNanos = fromNanos;
    this.arrivalNumber = arrivalNumber;
  }

  /** With what the probe says now; the same reading again changes nothing. */
  public DoseCourse with(Signal probe, Moment now) {
    if (!probe.good() || !Double.isFinite(probe.value())) {
      return millivolts.length == 0 && count == 0
          ? this
          : new DoseCourse(new long[0], new double[0], feeds, 0, 0, 0, probe.arrivalNumber());
    }
    if (probe.arrivalNumber() == arrivalNumber) {
      return this;
    }
    long arrived = now.monoNanos() - probe.ageNanos();
    if (count > 0 && arrived - fromNanos < MEAN.toNanos()) {
      return new DoseCourse(
          monoNanos,
          millivolts,
          feeds,
          sum + probe.value(),
          count + 1,
          fromNanos,
          probe.arrivalNumber());
    }
    DoseCourse closed = count > 0 ? meant() : this;
    return new DoseCourse(
        closed.monoNanos,
        closed.millivolts,
        closed.remembered(now),
        probe.value(),
        1,
        arrived,
        probe.arrivalNumber());
  }

  /** With the mean that was being made. */
  private DoseCourse meant() {
    int size = millivolts.length;
    int most = feeds.isEmpty() ? BEFORE : MOST;
    int from = Math.max(0, size + 1 - most);
    long[] times = Arrays.copyOfRange(monoNanos, from, size + 1);
    double[] means = Arrays.copyOfRange(millivolts, from, size + 1);
    times[size - from] = fromNanos + MEAN.toNanos() / 2;
    means[size - from] = sum / count;
    return new DoseCourse(times, means, feeds, 0, 0, 0, arrivalNumber);
  }

  private List<Feed> remembered(Moment now) {
    boolean over =
        !feeds.isEmpty()
            && feeds.size() % 2 == 0
            && now.since(feeds.get(feeds.size() - 1).monoNanos) >= FORGOTTEN.toNanos();
    return over ? List.of() : feeds;
  }

  /**
   * From now on so much more is fed, or less.
   *
   * @param milligramsPerHour by how much, mg/h; each dose is a rise and a fall
   */
  public DoseCourse fed(Moment now, double milligramsPerHour) {
    List<Feed> next = new ArrayList<>(feeds);
    next.add(new Feed(now.monoNanos(), milligramsPerHour));
    if (next.size() <= MOST_FEEDS) {
      return new DoseCourse(
          monoNanos, millivolts, List.copyOf(next), sum, count, fromNanos, arrivalNumber);
    }
    // The means before the second dose show the first: without them nothing is learned of the rest.
    List<Feed> kept = List.copyOf(next.subList(2, next.size()));
    int from = 0;
    while (from < monoNanos.length && monoNanos[from] - kept.get(0).monoNanos < 0) {
      from++;
    }
    return new DoseCourse(
        Arrays.copyOfRange(monoNanos, from, monoNanos.length),
        Arrays.copyOfRange(millivolts, from, millivolts.length),
        kept,
        sum,
        count,
        fromNanos,
        arrivalNumber);
  }

  /** What it teaches: the answer of the water and of this probe to what was fed. */
  public StepFit.Outcome fit() {
    if (feeds.isEmpty() || millivolts.length < StepFit.FEWEST) {
      return new StepFit.Refused(StepFit.Reason.TOO_FEW);
    }
    // A fit must not keep the control of other tanks waiting: of a long course two make one.
    int together = 1 + (monoNanos.length - 1) / MOST_FITTED;
    double[] seconds = new double[monoNanos.length / together];
    double[] values = new double[seconds.length];
    for (int i = 0; i < seconds.length * together; i++) {
      seconds[i / together] += seconds(monoNanos[i]) / together;
      values[i / together] += millivolts[i] / together;
    }
    List<StepFit.Change> changes = new ArrayList<>();
    for (Feed feed : feeds) {
      changes.add(new StepFit.Change(seconds(feed.monoNanos), feed.step));
    }
    return StepFit.fitLagged(seconds, values, changes);
  }

  /** On a clock of its own, so that no digits are lost. */
  private double seconds(long nanos) {
    return (nanos - monoNanos[0]) / NANOS;
  }

  /**
   * How high the water will go when it is fed for so long from now on, and then no more.
   *
   * <p>What the probe says less what the feed explains of it is where the water would be without;
   * to that comes what the feed has still to do. Source: the prediction of Smith, a process model
   * beside the process (1957), from memory.
   *
   * @param answer of the water, and of this probe
   * @param step what is fed beyond what is fed now, mg/h; the present dose ends at once with the
   *     negative of what is fed, and goes on with 0
   * @param seconds for how long; then all of it ends
   * @return mV; NaN while nothing is known
   */
  double peak(LaggedFirstOrder answer, Moment now, double step, double seconds) {
    int size = millivolts.length;
    int from = Math.max(0, size - RECENT);
    while (from < size && now.since(monoNanos[from]) > 2L * RECENT * MEAN.toNanos()) {
      from++;
    }
    if (size - from < FEWEST) {
      return Double.NaN;
    }
    double[] alone = new double[size - from];
    for (int i = from; i < size; i++) {
      alone[i - from] = millivolts[i] - read(answer, monoNanos[i]);
    }
    double level = Robust.median(alone);
    double end = (now.monoNanos() - monoNanos[0]) / NANOS + seconds;
    double then = end + answer.water().deadTimeSeconds();
    double fed = 0;
    double water = 0;
    double present = 0;
    for (Feed feed : feeds) {
      fed += feed.step;
      water += answer.water().response(then - seconds(feed.monoNanos), feed.step);
      present += answer.water().response(end - seconds - seconds(feed.monoNanos), feed.step);
    }
    water += answer.water().response(then - (end - seconds), step);
    water += answer.water().response(then - end, -(fed + step));
    return level + Math.max(present, water);
  }

  private double read(LaggedFirstOrder answer, long nanos) {
    double read = 0;
    for (Feed feed : feeds) {
      read += answer.reading((nanos - feed.monoNanos) / NANOS, feed.step);
    }
    return read;
  }

  /** The middle of the last three means, mV; NaN while there are fewer. */
  double last() {
    int size = millivolts.length;
    return size < FEWEST
        ? Double.NaN
        : Robust.median(Arrays.copyOfRange(millivolts, size - FEWEST, size));
  }

  /**
   * By how much the last dose has lifted what the probe says, mV: the highest of three means in a
   * row since it began, over the three before it. NaN where either is not known.
   */
  public double lastRise() {
    if (feeds.size() < 2) {
      return Double.NaN;
    }
    long began = feeds.get((feeds.size() - 1) / 2 * 2).monoNanos;
    double before = Double.NaN;
    double highest = Double.NaN;
    for (int i = FEWEST; i <= millivolts.length; i++) {
      double middle = Robust.median(Arrays.copyOfRange(millivolts, i - FEWEST, i));
      if (monoNanos[i - 1] - began < 0) {
        before = middle;
      } else if (!(middle <= highest)) {
        highest = middle;
      }
    }
    return highest - before;
  }
}
