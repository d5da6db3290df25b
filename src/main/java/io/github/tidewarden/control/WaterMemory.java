package io.github.tidewarden.control;

import io.github.tidewarden.exchange.Exchange;
import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.exchange.Portion;
import io.github.tidewarden.exchange.Rates;
import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.schedule.RollingTotal;
import io.github.tidewarden.schedule.Spend;
import java.time.Duration;
import java.time.LocalDate;
import java.util.Arrays;
import org.jspecify.annotations.Nullable;

/**
 * What must survive a crash of the exchange of one tank: a fold over audit records.
 *
 * @param drained what was taken out by portions that are done, mL
 * @param portion the portion under way; null for none
 * @param lastPortion the highest portion number that was ever begun
 * @param drain what is known of the drain pump
 * @param fill what is known of the fill pump
 * @param apartMillilitres what went out more than came in, over all portions that are done, mL
 * @param unseenMillilitres what portions that a start of the program cut off, or in which top-off
 *     could not be held, may have exchanged for fresh water unseen, mL, until a keeper has measured
 * @param accounted the last night whose exchange was accounted for; null before the first
 * @param ledger what was exchanged in a week and in the year
 * @param salt the salinity against what explains it
 * @param topOffHeld how long top-off may have been held with no pause that counts, ms, and when
 *     that was so; null before the first time
 */
public record WaterMemory(
    RollingTotal drained,
    @Nullable Portion portion,
    long lastPortion,
    PumpMemory drain,
    PumpMemory fill,
    long apartMillilitres,
    long unseenMillilitres,
    @Nullable LocalDate accounted,
    WaterLedger ledger,
    SaltMemory salt,
    @Nullable Spend topOffHeld) {

  /** Nothing exchanged yet. */
  static final WaterMemory BLANK =
      new WaterMemory(
          RollingTotal.NOTHING,
          null,
          0,
          PumpMemory.BLANK,
          PumpMemory.BLANK,
          0,
          0,
          null,
          WaterLedger.BLANK,
          SaltMemory.BLANK,
          null);

  /** More than any hard limit of any tank: what may have been drained when the past is unknown. */
  private static final long ALL_MILLILITRES = 1_000_000_000_000L;

  private static final Duration ROLLING = Duration.ofHours(24);

  /** The rates as the rule takes them. */
  Rates rates(ExchangeSpec spec) {
    return new Rates(
        drain.rate(spec.drain().litresPerMinute()), fill.rate(spec.fill().litresPerMinute()));
  }

  /** Whether water comes in beside pumps that move so much. */
  boolean seeps(Rates rates) {
    return rates.seeps(drain.calibrated() > 0 && fill.calibrated() > 0);
  }

  /** What was taken out of a night's share, mL, a portion under way in full. */
  public long drainedInNight(LocalDate night) {
    return drained.spentInNight(night) + halfDoneInNight(night);
  }

  /** What a portion of this night that is under way takes, mL, in full; 0 for none. */
  long halfDoneInNight(LocalDate night) {
    Portion open = portion;
    return open != null && open.night().equals(night) ? counted(open) : 0;
  }

  /** What was taken out in the 24 h before now, mL, a portion under way in full. */
  long drainedIn24h(String boot, Moment now) {
    return drained.spentWithin(ROLLING, boot, now) + (portion == null ? 0 : counted(portion));
  }

  private static long counted(Portion open) {
    return Math.max(open.millilitres(), open.outMillilitres());
  }

  /** The memory after one record of this tank, or one of the site. */
  WaterMemory apply(AuditRecord record, String boot) {
    Fields fields = new Fields(record.fields());
    return switch (record.kind()) {
      case START, FAULT -> portion == null ? this : withPortion(portion.restarted());
      case PORTION -> begun(fields);
      case DRAINED -> drained(fields);
      case FILLED -> filled(fields, record, boot);
      case EXCHANGED ->
          withAccounted(fields.date(Fields.NIGHT))
              .withSalt(salt.nightOver(fields.count(Fields.SALT_DRIFT)));
      case TOP_OFF_HELD -> topOffHeld(fields, record, boot);
      case CLOCK -> withDrained(drained.dated(boot, TankMemory.moment(record, Duration.ZERO)));
      case RECOVERED -> fields.flag(Fields.LATCHED) ? unreadable(fields, record, boot) : this;
      case ACT -> acted(fields, record, boot);
      default -> this;
    };
  }

  private WaterMemory acted(Fields fields, AuditRecord record, String boot) {
    return switch (fields.text(Fields.ACT)) {
      case Deed.RESET -> reset(fields.text(Fields.NAME), record, boot);
      case Deed.NOTE ->
          fields.has(Fields.SALT) ? withSalt(salt.plus(fields.count(Fields.SALT))) : this;
      case Deed.CALIBRATE -> {
        PumpMemory measured =
            PumpMemory.measured(
                fields.has(Fields.RATE_OF) ? fields.count(Fields.RATE_OF) : 0,
                fields.count(Fields.RATE));
        yield fields.flag(Fields.DRAINS) ? withPumps(measured, fill) : withPumps(drain, measured);
      }
      default -> this;
    };
  }

  private WaterMemory reset(String name, AuditRecord record, String boot) {
    if (!faults(name)) {
      return this;
    }
    WaterMemory after = abandoned(record, boot);
    if (name.equals(Exchange.Latch.OUT_AND_IN_APART.word())) {
      return after.together();
    }
    return name.equals(Exchange.Latch.NEW_WATER_WRONG.word())
        ? after.withSalt(salt.settled())
        : after;
  }

  /** A keeper has seen to what was apart. */
  private WaterMemory together() {
    return new WaterMemory(
        drained, portion, lastPortion, drain, fill, 0, 0, accounted, ledger, salt, topOffHeld);
  }

  /** Whether a latch is one of a portion that went wrong. */
  static boolean faults(String name) {
    return Arrays.stream(Exchange.Latch.values()).anyMatch(latch -> latch.word().equals(name));
  }

  private WaterMemory begun(Fields fields) {
    long number = fields.count(Fields.PORTION);
    if (number <= lastPortion) {
      return this;
    }
    Portion next =
        new Portion(
            number,
            fields.date(Fields.NIGHT),
            fields.text(Fields.WINDOW),
            fields.count(Fields.PORTION_ML),
            fields.count(Fields.BEFORE_UM),
            fields.count(Fields.TARGET_UM),
            perMillimetre(fields),
            fields.count(Fields.BIN_ML),
            0,
            0,
            false,
            Portion.Stage.DRAINING,
            0,
            Portion.UNMEASURED);
    WaterMemory after =
        new WaterMemory(
            drained,
            next,
            number,
            drain,
            fill,
            apartMillilitres,
            unseenMillilitres,
            accounted,
            ledger,
            salt,
            topOffHeld);
    return fields.has(Fields.SALINITY_UPSU)
        ? after.withSalt(
            salt.seen(
                fields.count(Fields.SALINITY_UPSU),
                fields.count(Fields.WATER_ML),
                fields.count(Fields.SALT_OFF),
                fields.count(Fields.SALT_NIGHT)))
        : after;
  }

  /** By what a portion is measured, µL/mm; older records do not tell it. */
  static long perMillimetre(Fields fields) {
    return fields.has(Fields.PER_MM_UL) ? fields.count(Fields.PER_MM_UL) : Portion.UNTOLD;
  }

  private WaterMemory drained(Fields fields) {
    Portion open = portion;
    return open == null
        ? this
        : withPumps(learnt(drain, fields, Fields.DRAIN_OF, Fields.DRAIN_RATE), fill)
            .withPortion(open.drained(fields.count(Fields.OUT_ML), fields.count(Fields.LEVEL_UM)));
  }

  private static PumpMemory learnt(PumpMemory pump, Fields fields, String of, String rate) {
    return pump.withLearnt(fields.has(of) ? fields.count(of) : 0, fields.count(rate));
  }

  private WaterMemory filled(Fields fields, AuditRecord record, String boot) {
    Portion open = portion;
    if (open == null) {
      return this;
    }
    long out = fields.count(Fields.OUT_ML);
    long in = fields.count(Fields.IN_ML);
    return new WaterMemory(
        spent(record, boot, open.night(), open.whole() ? counted(open) : out),
        null,
        lastPortion,
        learnt(drain, fields, Fields.DRAIN_OF, Fields.DRAIN_RATE),
        learnt(fill, fields, Fields.FILL_OF, Fields.FILL_RATE),
        apartMillilitres + out - in,
        unseenMillilitres + (fields.has(Fields.UNSEEN_ML) ? fields.count(Fields.UNSEEN_ML) : 0),
        accounted,
        ledger.plus(open.night(), out, in, fields.count(Fields.KEPT)),
        salt.plus(fields.count(Fields.SALT)),
        topOffHeld);
  }

  /**
   * After a keeper has seen to a portion that went wrong: it counts whole, nothing is owed, and of
   * what went out of it nobody knows what came in.
   */
  private WaterMemory abandoned(AuditRecord record, String boot) {
    Portion open = portion;
    return open == null
        ? this
        : new WaterMemory(
            spent(record, boot, open.night(), counted(open)),
            null,
            lastPortion,
            drain,
            fill,
            apartMillilitres,
            unseenMillilitres + Math.round((1 + Rates.MOST_OFF) * counted(open)),
            accounted,
            ledger.plus(open.night(), counted(open), 0, WaterLedger.ALL_KEPT),
            salt.settled(),
            topOffHeld);
  }

  private WaterMemory unreadable(Fields fields, AuditRecord record, String boot) {
    return new WaterMemory(
        spent(record, boot, fields.date(Fields.NIGHT), ALL_MILLILITRES),
        null,
        lastPortion,
        drain,
        fill,
        0,
        unseenMillilitres,
        accounted,
        ledger,
        salt.settled(),
        topOffHeld);
  }

  private RollingTotal spent(AuditRecord record, String boot, LocalDate night, long millilitres) {
    Moment now = TankMemory.moment(record, Duration.ZERO);
    RollingTotal known = drained.condensed(ROLLING, boot, now);
    return millilitres <= 0 ? known : known.plus(Spend.of(now, boot, night, millilitres));
  }

  private WaterMemory withPumps(PumpMemory nextDrain, PumpMemory nextFill) {
    return new WaterMemory(
        drained,
        portion,
        lastPortion,
        nextDrain,
        nextFill,
        apartMillilitres,
        unseenMillilitres,
        accounted,
        ledger,
        salt,
        topOffHeld);
  }

  private WaterMemory withDrained(RollingTotal next) {
    return new WaterMemory(
        next,
        portion,
        lastPortion,
        drain,
        fill,
        apartMillilitres,
        unseenMillilitres,
        accounted,
        ledger,
        salt,
        topOffHeld);
  }

  private WaterMemory withPortion(Portion next) {
    return new WaterMemory(
        drained,
        next,
        lastPortion,
        drain,
        fill,
        apartMillilitres,
        unseenMillilitres,
        accounted,
        ledger,
        salt,
        topOffHeld);
  }

  private WaterMemory withAccounted(LocalDate night) {
    return new WaterMemory(
        drained,
        portion,
        lastPortion,
        drain,
        fill,
        apartMillilitres,
        unseenMillilitres,
        night,
        ledger,
        salt,
        topOffHeld);
  }

  private WaterMemory withSalt(SaltMemory next) {
    return new WaterMemory(
        drained,
        portion,
        lastPortion,
        drain,
        fill,
        apartMillilitres,
        unseenMillilitres,
        accounted,
        ledger,
        next,
        topOffHeld);
  }

  private WaterMemory topOffHeld(Fields fields, AuditRecord record, String boot) {
    Moment then = TankMemory.moment(record, Duration.ZERO);
    return new WaterMemory(
        drained,
        portion,
        lastPortion,
        drain,
        fill,
        apartMillilitres,
        unseenMillilitres,
        accounted,
        ledger,
        salt,
        Spend.of(then, boot, fields.date(Fields.NIGHT), fields.count(Fields.HELD_MS)));
  }
}
