package io.github.tidewarden.schedule;

import io.github.tidewarden.quantity.Moment;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.TreeMap;
import java.util.concurrent.TimeUnit;

/**
 * What has been spent, of running time or of water: the account behind a limit in any rolling 24 h
 * and behind the allowance of a night, over restarts and power cuts. Immutable.
 *
 * <p>Where it cannot know it counts too much: a spend counts whole until its end is old enough, and
 * what cannot be dated counts as just ended.
 */
public final class RollingTotal {

  /** An account in which nothing has been spent. */
  public static final RollingTotal NOTHING = new RollingTotal(List.of());

  /** Most spends that are kept apart: fifty tanks still fit one line of the audit. */
  public static final int MOST_SPENDS = 40;

  /** How long a spend is kept: longer than a night and any window that opens in it. */
  public static final Duration KEPT = Duration.ofDays(3);

  /** No spend is recorded that ends later than this: a reservation and the lease after it. */
  public static final Duration LONGEST_AHEAD = Duration.ofMinutes(10);

  private final List<Spend> spends;

  private RollingTotal(List<Spend> spends) {
    this.spends = List.copyOf(spends);
  }

  /** The account of these spends, in the order in which they were recorded. */
  public static RollingTotal of(List<Spend> spends) {
    return new RollingTotal(bounded(new ArrayList<>(spends)));
  }

  /** What is kept apart, in the order of recording. */
  public List<Spend> spends() {
    return spends;
  }

  /** With one more spend, the youngest. When full, the least two of one night become one. */
  public RollingTotal plus(Spend spend) {
    List<Spend> more = new ArrayList<>(spends);
    more.add(spend);
    return new RollingTotal(bounded(more));
  }

  /**
   * Without what is older than {@link #KEPT}. What can never be dated (it ended in another boot
   * while the clock was not trusted, or later than it can have) is dated {@link #LONGEST_AHEAD}
   * from now, so that it ages from here on and does not count for ever. Nothing changes while the
   * clock is not trusted.
   */
  public RollingTotal pruned(String boot, Moment now) {
    if (!now.trusted()) {
      return this;
    }
    List<Spend> kept =
        spends.stream()
            .map(spend -> dated(spend, boot, now))
            .filter(spend -> spend.age(boot, now).compareTo(KEPT) < 0)
            .toList();
    return kept.equals(spends) ? this : new RollingTotal(kept);
  }

  /**
   * As {@link #pruned}, once the clock is trusted: what ended in this boot while it was not is
   * dated by the time that has passed since.
   */
  public RollingTotal dated(String boot, Moment now) {
    List<Spend> dated = spends.stream().map(spend -> spend.dated(boot, now)).toList();
    return (dated.equals(spends) ? this : new RollingTotal(dated)).pruned(boot, now);
  }

  /**
   * Without what is too old to matter, and with one spend a night for what is older than {@code
   * rolling}, so that a checkpoint of many tanks is still one line.
   */
  public RollingTotal condensed(Duration rolling, String boot, Moment now) {
    Map<LocalDate, Spend> old = new TreeMap<>();
    List<Spend> young = new ArrayList<>();
    for (Spend spend : pruned(boot, now).spends) {
      if (spend.age(boot, now).compareTo(rolling) < 0) {
        young.add(spend);
      } else {
        old.merge(spend.night(), spend, (one, other) -> together(one, other, boot, now));
      }
    }
    List<Spend> kept = new ArrayList<>(old.values());
    kept.addAll(young);
    return of(kept);
  }

  private static Spend together(Spend one, Spend other, String boot, Moment now) {
    return one.age(boot, now).compareTo(other.age(boot, now)) < 0
        ? one.plusOlder(other)
        : other.plusOlder(one);
  }

  /**
   * What was spent in the {@code span} before now, ms or mL.
   *
   * @param span positive
   * @throws IllegalArgumentException when {@code span} is longer than {@link #KEPT}
   */
  public long spentWithin(Duration span, String boot, Moment now) {
    if (span.compareTo(KEPT) > 0) {
      throw new IllegalArgumentException("spends are not kept for " + span);
    }
    Instant since = now.wall().minus(span);
    long sinceMonoMillis =
        Math.floorDiv(now.monoNanos() - span.toNanos(), TimeUnit.MILLISECONDS.toNanos(1));
    long sum = 0;
    for (Spend spend : spends) {
      if (spend.isYounger(since, sinceMonoMillis, boot, now)) {
        sum = Math.addExact(sum, spend.amount());
      }
    }
    return sum;
  }

  /** What was spent of a night's allowance, ms or mL, as far as the night is not over for long. */
  public long spentInNight(LocalDate night) {
    long sum = 0;
    for (Spend spend : spends) {
      if (spend.night().equals(night)) {
        sum = Math.addExact(sum, spend.amount());
      }
    }
    return sum;
  }

  private static Spend dated(Spend spend, String boot, Moment now) {
    boolean undatable = !spend.trusted() && !spend.boot().equals(boot);
    Instant latest = now.wall().plus(LONGEST_AHEAD);
    if (!undatable && !spend.wallEnd().isAfter(latest)) {
      return spend;
    }
    Moment end = new Moment(latest, now.monoNanos() + LONGEST_AHEAD.toNanos(), true);
    Spend fresh = Spend.endingAt(end, boot, spend.night(), 0);
    return fresh.plusOlder(spend);
  }

  private static List<Spend> bounded(List<Spend> spends) {
    while (spends.size() > MOST_SPENDS) {
      mergeLeastOfOneNight(spends);
    }
    return spends;
  }

  /**
   * Two that follow each other in a night become one, as young as the younger: those of which the
   * least was spent. Were it always the oldest two, what they come to would grow and get younger
   * with each further spend, and hardly any of a night would be over before the next.
   */
  private static void mergeLeastOfOneNight(List<Spend> spends) {
    int least = -1;
    int next = -1;
    for (int older = 0; older < spends.size(); older++) {
      int younger = following(spends, older);
      if (younger > 0 && (least < 0 || sum(spends, older, younger) < sum(spends, least, next))) {
        least = older;
        next = younger;
      }
    }
    if (least < 0) {
      throw new IllegalStateException("more than " + MOST_SPENDS + " nights in one account");
    }
    spends.set(next, spends.get(next).plusOlder(spends.get(least)));
    spends.remove(least);
  }

  /** Where the next of the same night stands; -1 for none. */
  private static int following(List<Spend> spends, int older) {
    for (int younger = older + 1; younger < spends.size(); younger++) {
      if (spends.get(younger).night().equals(spends.get(older).night())) {
        return younger;
      }
    }
    return -1;
  }

  private static long sum(List<Spend> spends, int older, int younger) {
    return Math.addExact(spends.get(older).amount(), spends.get(younger).amount());
  }
}
