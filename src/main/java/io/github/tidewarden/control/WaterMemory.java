package io.github.tidewarden.control;

import io.github.tidewarden.exchange.Exchange;
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
 * @param drainShare what the drain pump really moves, thousandths of its configured rate
 * @param fillShare the same of the fill pump
 * @param apartMillilitres what went out more than came in, over all portions that are done, mL
 * @param accounted the last night whose exchange was accounted for; null before the first
 */
record WaterMemory(
    RollingTotal drained,
    @Nullable Portion portion,
    long lastPortion,
    long drainShare,
    long fillShare,
    long apartMillilitres,
    @Nullable LocalDate accounted) {

  /** Nothing exchanged yet. */
  static final WaterMemory BLANK =
      new WaterMemory(RollingTotal.NOTHING, null, 0, 1_000, 1_000, 0, null);

  /** More than any hard limit of any tank: what may have been drained when the past is unknown. */
  private static final long ALL_MILLILITRES = 1_000_000_000_000L;

  private static final Duration ROLLING = Duration.ofHours(24);

  /** The shares as the rule takes them. */
  Rates rates() {
    return new Rates(drainShare / 1000.0, fillShare / 1000.0);
  }

  /** What was taken out of a night's share, mL, a portion under way in full. */
  long drainedInNight(LocalDate night) {
    Portion open = portion;
    return drained.spentInNight(night)
        + (open != null && open.night().equals(night) ? counted(open) : 0);
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
      case PORTION -> begun(fields);
      case DRAINED -> drained(fields);
      case FILLED -> filled(fields, record, boot);
      case EXCHANGED ->
          new WaterMemory(
              drained,
              portion,
              lastPortion,
              drainShare,
              fillShare,
              apartMillilitres,
              fields.date(Fields.NIGHT));
      case RECOVERED -> fields.flag(Fields.LATCHED) ? unreadable(fields, record, boot) : this;
      case ACT ->
          fields.text(Fields.ACT).equals(KeeperAct.RESET) && faults(fields.text(Fields.NAME))
              ? abandoned(record, boot)
              : this;
      default -> this;
    };
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
            Portion.Stage.DRAINING,
            0,
            Portion.UNMEASURED);
    return new WaterMemory(
        drained, next, number, drainShare, fillShare, apartMillilitres, accounted);
  }

  private WaterMemory drained(Fields fields) {
    Portion open = portion;
    return open == null
        ? this
        : new WaterMemory(
            drained,
            open.drained(fields.count(Fields.OUT_ML), fields.count(Fields.LEVEL_UM)),
            lastPortion,
            fields.count(Fields.DRAIN_SHARE),
            fillShare,
            apartMillilitres,
            accounted);
  }

  private WaterMemory filled(Fields fields, AuditRecord record, String boot) {
    Portion open = portion;
    if (open == null) {
      return this;
    }
    long out = fields.count(Fields.OUT_ML);
    return new WaterMemory(
        spent(record, boot, open.night(), out),
        null,
        lastPortion,
        drainShare,
        fields.count(Fields.FILL_SHARE),
        apartMillilitres + out - fields.count(Fields.IN_ML),
        accounted);
  }

  /** After a keeper has seen to a portion that went wrong: it counts whole, and nothing is owed. */
  private WaterMemory abandoned(AuditRecord record, String boot) {
    Portion open = portion;
    return open == null
        ? this
        : new WaterMemory(
            spent(record, boot, open.night(), counted(open)),
            null,
            lastPortion,
            drainShare,
            fillShare,
            0,
            accounted);
  }

  private WaterMemory unreadable(Fields fields, AuditRecord record, String boot) {
    return new WaterMemory(
        spent(record, boot, fields.date(Fields.NIGHT), ALL_MILLILITRES),
        null,
        lastPortion,
        drainShare,
        fillShare,
        0,
        accounted);
  }

  private RollingTotal spent(AuditRecord record, String boot, LocalDate night, long millilitres) {
    Moment now = TankMemory.moment(record, Duration.ZERO);
    RollingTotal known = drained.pruned(boot, now);
    return millilitres <= 0 ? known : known.plus(Spend.of(now, boot, night, millilitres));
  }
}
