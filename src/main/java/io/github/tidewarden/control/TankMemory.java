package io.github.tidewarden.control;

import io.github.tidewarden.gate.HardLimits;
import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.schedule.RollingTotal;
import io.github.tidewarden.schedule.Spend;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import java.util.Map;
import java.util.TreeMap;
import org.jspecify.annotations.Nullable;

/**
 * What must survive a crash, for one tank: a fold over audit records. {@link #apply} is the only
 * way in which it changes, live and in recovery.
 *
 * @param latches what is latched, by name, with the reason
 * @param night the night that {@code counts} are of; null before the first
 * @param counts how often each name tripped or fell silent in that night
 * @param total what was spent by runs whose account is closed
 * @param run the run whose account is open; null for none
 * @param lastRun the highest run number whose account was ever closed
 * @param opened the window that is open; null for none
 * @param closed ids of the windows that closed last, oldest first
 * @param holds what keepers hold at rest, in the order in which they said so
 * @param probes the last calibration of each redox probe, by name
 * @param care what keepers did to the installation and measured, and how long ozone ran
 * @param lessons what doses have taught
 * @param water what was exchanged, and the portion under way
 */
public record TankMemory(
    Map<String, String> latches,
    @Nullable LocalDate night,
    Map<String, Integer> counts,
    RollingTotal total,
    @Nullable Run run,
    long lastRun,
    @Nullable OpenedWindow opened,
    List<String> closed,
    List<Hold> holds,
    Map<String, ProbeMemory> probes,
    CareMemory care,
    Lessons lessons,
    WaterMemory water) {

  /** How many closed windows are remembered; a tank has fewer in two nights. */
  static final int MOST_CLOSED = 64;

  /**
   * A crashed run counts as ended this long after the restart: the longest lease and its expiry.
   */
  static final Duration LEASE_AFTER_CRASH = Duration.ofSeconds(160);

  /** The span of the hard limit of running time. */
  private static final Duration ROLLING = Duration.ofHours(24);

  /** The latch of a tank whose step failed. */
  public static final String FAULT = "internal-fault";

  /** The latch of a tank whose past could not be read back. */
  public static final String UNREADABLE = "audit-unreadable";

  /** The latch of a tank that may be another one under a new name. */
  public static final String NEW_NAME = "new-name";

  /** A tank without a past. */
  public static final TankMemory BLANK =
      new TankMemory(
          Map.of(),
          null,
          Map.of(),
          RollingTotal.NOTHING,
          null,
          0,
          null,
          List.of(),
          List.of(),
          Map.of(),
          CareMemory.BLANK,
          Lessons.NONE,
          WaterMemory.BLANK);

  /**
   * A window that has opened.
   *
   * @param id see {@code OpenWindow.id()}
   * @param boot in which it opened
   * @param monoMillis when it opened, monotonic in that boot
   * @param runs how many runs have begun in it
   */
  record OpenedWindow(String id, String boot, long monoMillis, long runs) {}

  /**
   * Copies the collections; maps are sorted, so that the same memory is always written the same.
   */
  public TankMemory {
    latches = Collections.unmodifiableSortedMap(new TreeMap<>(latches));
    counts = Collections.unmodifiableSortedMap(new TreeMap<>(counts));
    closed = List.copyOf(closed);
    holds = List.copyOf(holds);
    probes = Collections.unmodifiableSortedMap(new TreeMap<>(probes));
  }

  /**
   * Whether it holds what must not be forgotten: a latch, a hold, or something spent in the last 24
   * h.
   */
  boolean holds(String boot, Moment now) {
    return !latches.isEmpty()
        || !holds.isEmpty()
        || spentIn24hMillis(boot, now) > 0
        || care.harms()
        || water.drainedIn24h(boot, now) > 0;
  }

  /** Running time counted against a night, ms: closed accounts, and the open one in full. */
  public long spentInNightMillis(LocalDate asked) {
    Run open = run;
    long running = open != null && open.night().equals(asked) ? open.countedMillis() : 0;
    return total.spentInNight(asked) + running;
  }

  /** Running time counted against the 24 h before now, ms. */
  long spentIn24hMillis(String boot, Moment now) {
    return total.spentWithin(ROLLING, boot, now) + (run == null ? 0 : run.countedMillis());
  }

  /** Running time since a carbon was changed, ms, an open account in full; null when not known. */
  public @Nullable Long carbonMillis(Carbon carbon) {
    CareMemory.Change change = care.carbons().get(carbon.word());
    return change == null
        ? null
        : care.ozoneMillis() - change.ozoneMillis() + (run == null ? 0 : run.countedMillis());
  }

  /**
   * How often a name tripped or fell silent in a night.
   *
   * @param trusted whether the clock that names the night is; if not, the last night goes on
   */
  Map<String, Integer> countsIn(LocalDate asked, boolean trusted) {
    return asked.equals(night) || !trusted ? counts : Map.of();
  }

  /**
   * The memory after one record of this tank, or a {@code start} of the site.
   *
   * @param record the record
   * @param boot the boot in which it was written
   */
  TankMemory apply(AuditRecord record, String boot) {
    TankMemory after = ozone(record, boot);
    return after.withCare(after.care.apply(record, boot)).withWater(water.apply(record, boot));
  }

  private TankMemory ozone(AuditRecord record, String boot) {
    Fields fields = new Fields(record.fields());
    return switch (record.kind()) {
      case START -> crashed(record, boot);
      case RESERVED -> reserved(fields, record, boot);
      case RUN -> began();
      case REST -> ended(fields, record, boot, false);
      case LEARNED -> withLessons(lessons.after(fields));
      case SETTLED -> ended(fields, record, boot, true);
      case TRIP, SILENT -> counted(fields, record.trusted()).latchedIf(fields, record.why());
      case LATCHED -> latchedIf(fields, record.why());
      case FAULT -> crashed(record, boot).withLatch(FAULT, record.why());
      case CLOCK -> withTotal(total.dated(boot, moment(record, Duration.ZERO)));
      case RECOVERED -> fields.flag(Fields.LATCHED) ? unreadable(fields, record, boot) : this;
      case ACT -> acted(fields, record, boot);
      case HOLD_OVER -> released(fields);
      case WINDOW_OPENED -> opened(fields.text(Fields.WINDOW), record, boot);
      case WINDOW_CLOSED, MISSED -> closed(fields.text(Fields.WINDOW));
      default -> this;
    };
  }

  private TankMemory acted(Fields fields, AuditRecord record, String boot) {
    return switch (fields.text(Fields.ACT)) {
      case Deed.RESET -> withoutLatch(fields.text(Fields.NAME));
      case Deed.HOLD -> held(fields, boot);
      case Deed.RELEASE -> released(fields);
      case Deed.CALIBRATE_PROBE ->
          withProbes(
              ProbeMemory.with(
                  probes, fields.text(Fields.NAME), ProbeMemory.of(fields, record, boot)));
      default -> this;
    };
  }

  /** A hold ends no other one, however short or long either is. */
  private TankMemory held(Fields fields, String boot) {
    List<Hold> next = new ArrayList<>(released(fields).holds());
    next.add(Hold.of(fields, boot));
    return withHolds(next);
  }

  private TankMemory released(Fields fields) {
    return withHolds(holds.stream().filter(hold -> !hold.isMeantBy(fields)).toList());
  }

  private TankMemory withHolds(List<Hold> next) {
    return new TankMemory(
        latches, night, counts, total, run, lastRun, opened, closed, next, probes, care, lessons,
        water);
  }

  private TankMemory withLessons(Lessons next) {
    return new TankMemory(
        latches, night, counts, total, run, lastRun, opened, closed, holds, probes, care, next,
        water);
  }

  private TankMemory withProbes(Map<String, ProbeMemory> next) {
    return new TankMemory(
        latches, night, counts, total, run, lastRun, opened, closed, holds, next, care, lessons,
        water);
  }

  /** After a run broke off without an account of it: all that was reserved counts as spent. */
  private TankMemory crashed(AuditRecord record, String boot) {
    Run open = run;
    if (open == null) {
      return this;
    }
    Spend spend = open.spend();
    Moment end = moment(record, LEASE_AFTER_CRASH);
    return account(
        open.number(),
        spend != null
            ? spend
            : Spend.endingAt(end, boot, open.night(), open.reservedMillis() * 1_000_000));
  }

  private TankMemory reserved(Fields fields, AuditRecord record, String boot) {
    long number = fields.count(Fields.RUN);
    long millis = fields.count(Fields.RESERVE_MS);
    Run open = run;
    if (number <= lastRun) {
      return this;
    }
    if (open != null && open.number() == number) {
      return open.spend() != null
          ? this
          : withRun(new Run(number, open.night(), open.reservedMillis() + millis, null));
    }
    TankMemory before = open == null ? this : crashed(record, boot);
    return before.withRun(new Run(number, fields.date(Fields.NIGHT), millis, null));
  }

  private TankMemory ended(Fields fields, AuditRecord record, String boot, boolean settled) {
    Run open = run;
    if (open == null || open.number() != fields.count(Fields.RUN)) {
      return this;
    }
    Moment end = moment(record, Duration.ofMillis(fields.count(Fields.OVER_IN_MS)));
    Spend spend =
        Spend.endingAt(end, boot, open.night(), fields.count(Fields.SPENT_MS) * 1_000_000);
    return settled
        ? account(open.number(), spend)
        : withRun(new Run(open.number(), open.night(), spend.amount(), spend));
  }

  private TankMemory account(long number, Spend spend) {
    return new TankMemory(
        latches,
        night,
        counts,
        spend.amount() == 0 ? total : total.plus(spend),
        null,
        Math.max(lastRun, number),
        opened,
        closed,
        holds,
        probes,
        care.plusOzone(spend.amount()),
        lessons,
        water);
  }

  private TankMemory counted(Fields fields, boolean trusted) {
    LocalDate of = trusted || night == null ? fields.date(Fields.NIGHT) : night;
    Map<String, Integer> next = new TreeMap<>(countsIn(of, trusted));
    next.merge(fields.text(Fields.NAME), 1, Integer::sum);
    return new TankMemory(
        latches, of, next, total, run, lastRun, opened, closed, holds, probes, care, lessons,
        water);
  }

  private TankMemory latchedIf(Fields fields, String why) {
    return fields.flag(Fields.LATCHED) ? withLatch(fields.text(Fields.NAME), why) : this;
  }

  /** What was spent cannot be known either, so all that may be in 24 h counts as spent just now. */
  private TankMemory unreadable(Fields fields, AuditRecord record, String boot) {
    Spend all =
        Spend.endingAt(
            moment(record, Duration.ZERO),
            boot,
            fields.date(Fields.NIGHT),
            Duration.ofMinutes(HardLimits.MAX_OZONE_PER_24H_MINUTES).toNanos());
    return new TankMemory(
            latches,
            night,
            counts,
            total.plus(all),
            run,
            lastRun,
            opened,
            closed,
            holds,
            probes,
            care,
            lessons,
            water)
        .withLatch(UNREADABLE, record.why());
  }

  private TankMemory withLatch(String name, String why) {
    Map<String, String> next = new TreeMap<>(latches);
    next.putIfAbsent(name, why);
    return new TankMemory(
        next, night, counts, total, run, lastRun, opened, closed, holds, probes, care, lessons,
        water);
  }

  private TankMemory withoutLatch(String name) {
    Map<String, String> next = new TreeMap<>(latches);
    next.remove(name);
    return new TankMemory(
        next, night, counts, total, run, lastRun, opened, closed, holds, probes, care, lessons,
        water);
  }

  private TankMemory withWater(WaterMemory next) {
    return next.equals(water)
        ? this
        : new TankMemory(
            latches, night, counts, total, run, lastRun, opened, closed, holds, probes, care,
            lessons, next);
  }

  private TankMemory withCare(CareMemory next) {
    return next.equals(care)
        ? this
        : new TankMemory(
            latches, night, counts, total, run, lastRun, opened, closed, holds, probes, next,
            lessons, water);
  }

  private TankMemory withTotal(RollingTotal next) {
    return new TankMemory(
        latches, night, counts, next, run, lastRun, opened, closed, holds, probes, care, lessons,
        water);
  }

  private TankMemory withRun(Run next) {
    return new TankMemory(
        latches, night, counts, total, next, lastRun, opened, closed, holds, probes, care, lessons,
        water);
  }

  private TankMemory opened(String id, AuditRecord record, String boot) {
    OpenedWindow open = new OpenedWindow(id, boot, record.monoMillis(), 0);
    return withWindows(pruned(record, boot), open, closed);
  }

  private TankMemory began() {
    OpenedWindow open = opened;
    return open == null
        ? this
        : withWindows(
            total,
            new OpenedWindow(open.id(), open.boot(), open.monoMillis(), open.runs() + 1),
            closed);
  }

  private TankMemory closed(String id) {
    List<String> next = new ArrayList<>(closed);
    next.add(id);
    while (next.size() > MOST_CLOSED) {
      next.remove(0);
    }
    OpenedWindow open = opened;
    return withWindows(total, open != null && open.id().equals(id) ? null : open, next);
  }

  private TankMemory withWindows(
      RollingTotal nextTotal, @Nullable OpenedWindow nextOpened, List<String> nextClosed) {
    return new TankMemory(
        latches,
        night,
        counts,
        nextTotal,
        run,
        lastRun,
        nextOpened,
        nextClosed,
        holds,
        probes,
        care,
        lessons,
        water);
  }

  private RollingTotal pruned(AuditRecord record, String boot) {
    return total.condensed(ROLLING, boot, moment(record, Duration.ZERO));
  }

  static Moment moment(AuditRecord record, Duration ahead) {
    Instant wall = record.at().plus(ahead);
    return new Moment(wall, record.monoMillis() * 1_000_000 + ahead.toNanos(), record.trusted());
  }
}
