package io.github.tidewarden.control;

import io.github.tidewarden.exchange.Exchange;
import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.exchange.Portion;
import io.github.tidewarden.exchange.Rates;
import io.github.tidewarden.exchange.SaltWatch;
import io.github.tidewarden.interlock.Event;
import io.github.tidewarden.quantity.Figures;
import io.github.tidewarden.quantity.UnitCode;
import io.github.tidewarden.schedule.OpenWindow;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.concurrent.TimeUnit;

/** Records what becomes of a portion in one turn, and what its pumps and its salt are worth. */
final class PortionClerk {

  /** A fill pump that moved less than this share of what came in did not bring it. */
  private static final double SEEN = 0.5;

  /** The same where it is less than this share of a portion is noise. */
  private static final double WORTH_TELLING = 0.25;

  /** What is recorded in place of a bin that nobody measures. */
  static long measured(double litres) {
    return Double.isNaN(litres) ? BinMemory.UNKNOWN : millilitres(litres);
  }

  static long millilitres(double litres) {
    return Math.round(Math.max(0, litres) * 1000);
  }

  private final Turn turn;
  private final ExchangeSpec spec;
  private final BinKeeper bin;

  PortionClerk(Turn turn, ExchangeSpec spec, BinKeeper bin) {
    this.turn = turn;
    this.spec = spec;
    this.bin = bin;
  }

  private WaterMemory memory() {
    return turn.memory.water();
  }

  /**
   * A portion is asked for; it begins once this is on disk.
   *
   * @param psu the tank's salinity; NaN for unknown
   * @return whether it is on its way to the disk: not when the salinity has gone where the new
   *     water should not take it, nor while the disk takes nothing
   */
  boolean reserve(Exchange.Outcome.Reserve reserve, OpenWindow open, double psu, String why) {
    Map<String, Object> salt = salt(reserve, psu);
    Exchange.Outcome.Fault wrong =
        salt.isEmpty() ? null : SaltWatch.judge(new Fields(salt).count(Fields.SALT_OFF) / 1e6);
    if (wrong != null) {
      fault(wrong);
      return false;
    }
    Map<String, Object> fields = new LinkedHashMap<>();
    fields.put(Fields.NIGHT, open.night().toString());
    fields.put(Fields.PORTION, memory().lastPortion() + 1);
    fields.put(Fields.WINDOW, open.id());
    fields.put(Fields.PORTION_ML, millilitres(reserve.litres()));
    fields.put(Fields.BEFORE_UM, micrometres(reserve.beforeMillimetres()));
    fields.put(Fields.TARGET_UM, micrometres(reserve.targetMillimetres()));
    fields.put(Fields.PER_MM_UL, spec.microlitresPerMillimetre());
    fields.put(Fields.DAY_OUT_ML, memory().drainedIn24h(turn.before.boot(), turn.now));
    fields.put(Fields.BIN, spec.bin().name());
    fields.put(Fields.BIN_ML, bin.leftMillilitres());
    fields.putAll(salt);
    fields.putAll(turn.narrator.vector());
    return turn.reserve(Kind.PORTION, why, fields);
  }

  /** The salinity before a portion, and how far it is off what explains it; empty for unknown. */
  private Map<String, Object> salt(Exchange.Outcome.Reserve reserve, double psu) {
    if (Double.isNaN(psu)) {
      return Map.of();
    }
    ExchangeSpec.Level level = spec.level();
    double over =
        level == null
            ? 0
            : (reserve.beforeMillimetres() - (level.lowMillimetres() + level.highMillimetres()) / 2)
                * level.litresPerMillimetre();
    double litres = turn.tank.spec.waterLitres() + over;
    SaltMemory known = memory().salt();
    double off =
        known.last() == SaltMemory.UNKNOWN
            ? 0
            : SaltWatch.off(known.held(), known.salt() / 1e3, new SaltWatch.Held(psu, litres));
    Map<String, Object> fields = new LinkedHashMap<>();
    fields.put(Fields.SALINITY_UPSU, millionths(psu));
    fields.put(Fields.WATER_ML, millilitres(litres));
    fields.put(Fields.SALT_OFF, millionths(SaltWatch.together(known.off() / 1e6, off)));
    fields.put(Fields.SALT_NIGHT, known.night() + millionths(off));
    return fields;
  }

  /**
   * Its water is out.
   *
   * @param own what this run of the program knows of its last portion
   * @param ranNanos how long the drain pump ran for it in this run of the program
   */
  void drained(Exchange.Outcome.Drained drained, OwnPortion own, long ranNanos, String why) {
    Rates before = memory().rates(spec);
    Rates rates = before;
    Portion portion = Objects.requireNonNull(memory().portion());
    if (own.teaches(portion.number()) && ranNanos > 0) {
      rates = rates.withDrain(rate(drained.litres(), ranNanos));
    }
    Map<String, Object> fields = portionFields();
    fields.put(Fields.OUT_ML, millilitres(drained.litres()));
    fields.put(Fields.LEVEL_UM, micrometres(drained.levelMillimetres()));
    fields.put(Fields.DRAIN_OF, PumpMemory.microlitres(spec.drain().litresPerMinute()));
    fields.put(Fields.DRAIN_RATE, PumpMemory.microlitres(rates.drain().litresPerMinute()));
    turn.write(Kind.DRAINED, why, fields);
    noticeRate(spec.drain(), before.drain(), rates.drain(), Exchange.Latch.DRAIN_DRIFTS);
    if (portion.whole() && drained.litres() < SEEN * portion.litres()) {
      turn.write(
          Kind.NOTICE,
          "the program began anew while a portion went out, and the level is nearly as before:"
              + " either little had gone out, or fresh water took its place; measure the salinity",
          Map.of(Fields.NAME, "drained-unseen"));
    }
  }

  /**
   * It is done.
   *
   * @param own what this run of the program knows of its last portion
   * @param drainedNanos how long the drain pump ran for it in this run of the program
   * @param filledNanos the same of the fill pump
   */
  void done(
      Exchange.Outcome.Done done, OwnPortion own, long drainedNanos, long filledNanos, String why) {
    Rates before = memory().rates(spec);
    Portion portion = Objects.requireNonNull(memory().portion());
    Rates rates =
        own.teaches(portion.number()) && filledNanos > 0
            ? learnt(before, done, drainedNanos, filledNanos)
            : before;
    Map<String, Object> fields = portionFields();
    fields.put(Fields.OUT_ML, millilitres(done.outLitres()));
    fields.put(Fields.IN_ML, millilitres(done.inLitres()));
    fields.put(Fields.DRAIN_RATE, PumpMemory.microlitres(rates.drain().litresPerMinute()));
    fields.put(Fields.FILL_RATE, PumpMemory.microlitres(rates.fill().litresPerMinute()));
    fields.put(Fields.DRAIN_OF, PumpMemory.microlitres(spec.drain().litresPerMinute()));
    fields.put(Fields.FILL_OF, PumpMemory.microlitres(spec.fill().litresPerMinute()));
    fields.put(Fields.BIN, spec.bin().name());
    fields.put(Fields.BIN_ML, measured(bin.litres()));
    fields.put(Fields.KEPT, kept(done.outLitres() / turn.tank.spec.waterLitres()));
    fields.put(Fields.SALT, Math.round(1000 * salt(done)));
    if (portion.restarts() > 0) {
      fields.put(Fields.UNSEEN_ML, millilitres((1 + Rates.MOST_OFF) * portion.litres()));
    } else if (own.wasToppedOff(portion)) {
      double unseen = Rates.MOST_OFF * done.outLitres() + done.inLitres();
      fields.put(Fields.UNSEEN_ML, millilitres(unseen));
    }
    turn.write(Kind.FILLED, why, fields);
    if (own.wasToppedOff(portion)) {
      tellToppedOff(done);
    } else {
      tellUnseen(done, portion, before, filledNanos);
    }
    tellRate(spec.drain(), before.drain(), rates.drain(), Exchange.Latch.DRAIN_DRIFTS);
    tellRate(spec.fill(), before.fill(), rates.fill(), Exchange.Latch.FILL_DRIFTS);
    if (spec.kind() == ExchangeSpec.Kind.PORTIONS) {
      tellSeep(rates);
    }
  }

  /** A level that falls too slowly and rises too quickly has something come in beside the pumps. */
  private void tellSeep(Rates now) {
    if (memory().seeps(now)) {
      fault(new Exchange.Outcome.Fault(Exchange.Latch.TOP_OFF_SEEPS, seep(now)));
    }
  }

  /** The same where it is too little to stop for: once a night, when that is over. */
  void noticeSeep() {
    Rates now = memory().rates(spec);
    if (spec.kind() == ExchangeSpec.Kind.PORTIONS && now.isBesideTold() && !memory().seeps(now)) {
      turn.write(Kind.NOTICE, seep(now), Map.of(Fields.NAME, Exchange.Latch.TOP_OFF_SEEPS.word()));
    }
  }

  private static String seep(Rates now) {
    return "by the level the drain pump is slow and the fill pump quick, as if "
        + Figures.brief(now.besideLitresPerMinute() * 1000, UnitCode.MILLILITRE_PER_MINUTE)
        + " of fresh water came in beside them: see that nothing lets water in during a portion,"
        + " such as a top-off that does not shut when it is held, measure the salinity, and"
        + " calibrate both pumps";
  }

  /** What came in that no pump brought. */
  private void tellToppedOff(Exchange.Outcome.Done done) {
    double fresh = done.outLitres() - done.inLitres();
    if (fresh > WORTH_TELLING * spec.portionLitres()) {
      turn.write(
          Kind.NOTICE,
          "top-off could not be held for a while in a portion, and about "
              + Figures.brief(fresh, UnitCode.LITRES)
              + " of fresh water took the place of what was drained; the next portions make it good",
          Map.of(Fields.NAME, "topped-off"));
    }
  }

  private static double pumped(Rates rates, long filledNanos) {
    return rates.fill().litresPerMinute() * filledNanos / TimeUnit.MINUTES.toNanos(1);
  }

  /** A level says that water came in, and not which. */
  private void tellUnseen(
      Exchange.Outcome.Done done, Portion portion, Rates rates, long filledNanos) {
    double pumped = pumped(rates, filledNanos);
    if (spec.kind() == ExchangeSpec.Kind.PORTIONS
        && pumped < SEEN * done.inLitres()
        && done.inLitres() - pumped > WORTH_TELLING * portion.litres()) {
      turn.write(
          Kind.NOTICE,
          "most of what came in came while the daemon was away: unless the pump had filled before,"
              + " fresh water took the place of what was drained; measure the salinity",
          Map.of(Fields.NAME, "filled-unseen"));
    }
  }

  /**
   * Both at once mixes as it goes, one after the other at the end: see {@code science.Dilution}.
   */
  private long kept(double share) {
    double left = spec.kind() == ExchangeSpec.Kind.PAIRED ? Math.exp(-share) : 1 - share;
    return Math.round(WaterLedger.ALL_KEPT * Math.max(0, Math.min(1, left)));
  }

  private double salt(Exchange.Outcome.Done done) {
    SaltMemory salt = memory().salt();
    double tank = salt.last() == SaltMemory.UNKNOWN ? SaltWatch.USUAL_PSU : salt.held().psu();
    return SaltWatch.portion(tank, done.outLitres(), bin.psu(), done.inLitres());
  }

  private Rates learnt(
      Rates known, Exchange.Outcome.Done done, long drainedNanos, long filledNanos) {
    Portion portion = Objects.requireNonNull(memory().portion());
    double fill = rate(done.inLitres(), filledNanos);
    if (spec.kind() == ExchangeSpec.Kind.PORTIONS) {
      return known.withFill(fill);
    }
    boolean measured = !Double.isNaN(portion.binLitres()) && !Double.isNaN(bin.litres());
    return measured
        ? known.withBoth(rate(done.outLitres(), drainedNanos), fill)
        : known.withFillBeside(fill);
  }

  private void tellRate(
      ExchangeSpec.Pump pump, Rates.Rate before, Rates.Rate now, Exchange.Latch latch) {
    if (now.drifts()) {
      fault(
          new Exchange.Outcome.Fault(
              latch, told(pump, now) + ": look at it, and for a leak, and calibrate it anew"));
    } else {
      noticeRate(pump, before, now, latch);
    }
  }

  private void noticeRate(
      ExchangeSpec.Pump pump, Rates.Rate before, Rates.Rate now, Exchange.Latch latch) {
    if (now.isTold() && !before.isTold()) {
      turn.write(Kind.NOTICE, told(pump, now), Map.of(Fields.NAME, latch.word()));
    }
  }

  private static String told(ExchangeSpec.Pump pump, Rates.Rate now) {
    return "pump "
        + pump.name()
        + " moves "
        + Figures.brief(now.litresPerMinute() * 1000, UnitCode.MILLILITRE_PER_MINUTE)
        + " instead of "
        + Figures.brief(now.baseLitresPerMinute() * 1000, UnitCode.MILLILITRE_PER_MINUTE);
  }

  /** It has stood still for long, and gives way. */
  void tellStandstill(String why) {
    turn.write(
        Kind.NOTICE,
        "the portion under way has stood still for "
            + Figures.span(Standstill.LONGEST.toNanos())
            + (spec.shares().isEmpty() ? "" : ", and others go on meanwhile")
            + ": "
            + why,
        Map.of(Fields.NAME, "portion-waits"));
  }

  /** The exchange waits for its keeper. */
  void fault(Exchange.Outcome.Fault fault) {
    String name = fault.name().word();
    if (!turn.memory.latches().containsKey(name)) {
      turn.narrator.tells(List.of(new Event(Event.Type.TRIP, name, fault.why(), true, name)));
    }
  }

  private Map<String, Object> portionFields() {
    Portion portion = Objects.requireNonNull(memory().portion());
    Map<String, Object> fields = new LinkedHashMap<>();
    fields.put(Fields.NIGHT, portion.night().toString());
    fields.put(Fields.PORTION, portion.number());
    return fields;
  }

  private static double rate(double litres, long ranNanos) {
    return litres * TimeUnit.MINUTES.toNanos(1) / ranNanos;
  }

  private static long millionths(double value) {
    return Math.round(value * 1e6);
  }

  private static long micrometres(double millimetres) {
    return Double.isNaN(millimetres) ? Portion.UNMEASURED : Math.round(millimetres * 1000);
  }
}
