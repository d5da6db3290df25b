package io.github.tidewarden.review;

import java.math.BigDecimal;
import java.time.LocalDate;
import java.util.List;
import java.util.Locale;
import org.jspecify.annotations.Nullable;

/**
 * One run of the ozone generator, as its records come in.
 *
 * <pre>
 * account    what counts against the allowance
 * RESERVED   the whole reservation; there is no end in the records
 * CUT_OFF    the same; the daemon started again without having ended it
 * ENDED      the longest that the device can have run
 * SETTLED    the run's account is closed: as the device confirmed, or as ENDED
 * </pre>
 */
final class RunStory {

  /** How far the records account for a run. */
  enum Account {
    RESERVED,
    CUT_OFF,
    ENDED,
    SETTLED;

    String word() {
      return this == CUT_OFF ? "cut-off" : name().toLowerCase(Locale.ROOT);
    }
  }

  private final long number;
  private final Mark first;
  private LocalDate night;
  private String window = "";
  private long reservedMillis;
  private @Nullable BigDecimal reservedMilligrams = BigDecimal.ZERO.setScale(2);
  private @Nullable Mark began;
  private @Nullable Mark ended;
  private @Nullable Mark cutOff;
  private boolean settled;
  private String settledWhy = "";
  private @Nullable Long ranMillis;
  private @Nullable Long spentMillis;
  private @Nullable BigDecimal milligrams;
  private List<String> causes = List.of();
  private Redox redox = Redox.UNKNOWN;

  RunStory(long number, Entry entry) {
    this.number = number;
    first = entry.mark();
    night = entry.mark().night();
  }

  // What the records say.

  void reserved(Entry entry) {
    Long millis = entry.count("reserve-ms");
    BigDecimal more = entry.figure("reserve-mg");
    reservedMillis += millis == null ? 0 : millis;
    reservedMilligrams =
        reservedMilligrams == null || more == null ? null : reservedMilligrams.add(more);
    if (window.isEmpty()) {
      redox = Redox.from(entry.redoxNow());
      window = entry.text("window");
      night = Windows.night(window, entry.mark());
    }
  }

  void began(Entry entry) {
    began = entry.mark();
    redox = Redox.from(entry.redoxNow());
  }

  void ended(Entry entry) {
    ended = entry.mark();
    ranMillis = entry.count("ran-ms");
    causes = entry.texts("causes");
    redox = entry.redox("run-redox");
    spent(entry);
  }

  void settled(Entry entry) {
    settled = true;
    settledWhy = entry.why();
    spent(entry);
  }

  private void spent(Entry entry) {
    spentMillis = entry.count("spent-ms");
    milligrams = entry.figure("spent-mg");
  }

  /** The daemon starts; a run that is open ended unseen. */
  void started(Entry start) {
    if (ended == null && !settled && cutOff == null) {
      cutOff = start.mark();
    }
  }

  // What that comes to.

  long number() {
    return number;
  }

  LocalDate night() {
    return night;
  }

  String window() {
    return window;
  }

  /** The first record of the run. */
  Mark first() {
    return first;
  }

  /** When its first command was made; null when it did not begin, or the record is missing. */
  @Nullable Mark began() {
    return began;
  }

  /** When it was told to rest, or the daemon started again; null when neither is recorded. */
  @Nullable Mark ended() {
    return ended != null ? ended : cutOff;
  }

  Account account() {
    if (settled) {
      return Account.SETTLED;
    }
    return ended != null ? Account.ENDED : cutOff != null ? Account.CUT_OFF : Account.RESERVED;
  }

  /** Why the account was closed; empty when that is not recorded. */
  String settledWhy() {
    return settledWhy;
  }

  /** From the first command to rest, ms; null when it is not recorded. */
  @Nullable Long ranMillis() {
    return ranMillis;
  }

  /** What counts against the allowance, ms. */
  long countedMillis() {
    return spentMillis == null ? reservedMillis : spentMillis;
  }

  /** What the generator gave in that time by its rated output, mg; null when not recorded. */
  @Nullable BigDecimal milligrams() {
    return spentMillis == null && reservedMillis > 0 ? reservedMilligrams : milligrams;
  }

  /** Why it ended, the first cause first; empty when that is not recorded. */
  List<String> causes() {
    return causes;
  }

  /** Of a run whose end is not recorded only how it started is known. */
  Redox redox() {
    return redox;
  }

  /** Whether ozone can have flowed. */
  boolean isReal() {
    return began != null || countedMillis() > 0;
  }
}
