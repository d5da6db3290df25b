package io.github.tidewarden.control;

import io.github.tidewarden.quantity.Moment;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.TimeUnit;
import org.jspecify.annotations.Nullable;

/**
 * Air and redox of a skimmer, a sample a minute; begins anew at each start.
 *
 * @param sampledNanos when the last sample was taken, monotonic
 * @param lastHour at most {@link #MOST} samples, the oldest first
 * @param of the cleaning that {@code after} belongs to; null for none
 * @param after what was sampled from 1 h to 24 h after that
 */
record SkimmerState(long sampledNanos, List<Sample> lastHour, @Nullable Instant of, Sums after) {

  /** Samples in an hour. */
  static final int MOST = 60;

  /** A mean of fewer samples is not known. */
  static final int FEWEST = 30;

  static final long EVERY_NANOS = TimeUnit.MINUTES.toNanos(1);

  private static final long HOUR_NANOS = TimeUnit.HOURS.toNanos(1);

  /** One sample; -1 for what is not known. */
  record Sample(long nanos, long air, long redox) {}

  /** Sums, and of how many samples. */
  record Sums(long air, long airCount, long redox, long redoxCount) {
    static final Sums NONE = new Sums(0, 0, 0, 0);

    Sums plus(Sample sample) {
      boolean hasAir = sample.air() != SkimmerMemory.UNKNOWN;
      boolean hasRedox = sample.redox() != SkimmerMemory.UNKNOWN;
      return new Sums(
          hasAir ? air + sample.air() : air,
          hasAir ? airCount + 1 : airCount,
          hasRedox ? redox + sample.redox() : redox,
          hasRedox ? redoxCount + 1 : redoxCount);
    }

    SkimmerMemory.Means means() {
      return new SkimmerMemory.Means(
          airCount < FEWEST ? SkimmerMemory.UNKNOWN : air / airCount,
          redoxCount < FEWEST ? SkimmerMemory.UNKNOWN : redox / redoxCount);
    }
  }

  static SkimmerState atBoot(Moment now) {
    return new SkimmerState(now.monoNanos(), List.of(), null, Sums.NONE);
  }

  /** With one more sample; what is older than an hour goes. */
  SkimmerState with(Sample sample) {
    List<Sample> next = new ArrayList<>();
    for (Sample one : lastHour) {
      if (sample.nanos() - one.nanos() < HOUR_NANOS) {
        next.add(one);
      }
    }
    next.add(sample);
    return new SkimmerState(
        sample.nanos(),
        List.copyOf(next.subList(Math.max(0, next.size() - MOST), next.size())),
        of,
        after);
  }

  /** The last sample is one of those after a cleaning. */
  SkimmerState countedAfter(Instant cleaning) {
    Sums sums = cleaning.equals(of) ? after : Sums.NONE;
    return new SkimmerState(
        sampledNanos, lastHour, cleaning, sums.plus(lastHour.get(lastHour.size() - 1)));
  }

  /** Means over the last hour before a moment. */
  SkimmerMemory.Means lastHour(Moment now) {
    Sums sums = Sums.NONE;
    for (Sample one : lastHour) {
      if (now.since(one.nanos()) <= HOUR_NANOS) {
        sums = sums.plus(one);
      }
    }
    return sums.means();
  }
}
