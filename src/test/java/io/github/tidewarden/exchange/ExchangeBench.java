package io.github.tidewarden.exchange;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.exchange.Exchange.Outcome;
import io.github.tidewarden.exchange.Exchange.Phase;
import io.github.tidewarden.exchange.Exchange.Use;
import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.schedule.WindowSpec;
import io.github.tidewarden.sensing.Measure;
import io.github.tidewarden.sensing.Quality;
import io.github.tidewarden.sensing.Signal;
import io.github.tidewarden.sensing.Trend;
import java.time.DayOfWeek;
import java.time.Instant;
import java.time.LocalDate;
import java.time.LocalTime;
import java.util.ArrayList;
import java.util.EnumSet;
import java.util.List;
import java.util.function.BooleanSupplier;
import org.jspecify.annotations.Nullable;

/**
 * The rule at a sump, second by second in virtual time: what it proposes is let through by a gate
 * that only counts and cuts, and what it finds out is remembered as the daemon would remember it.
 */
final class ExchangeBench {
  static final long SECOND = 1_000_000_000L;
  static final long MINUTE = 60 * SECOND;
  static final double PORTION_LITRES = 0.5;
  static final double LOW_MILLIMETRES = 180;
  static final double HIGH_MILLIMETRES = 240;
  static final double IMBALANCE_LITRES = 1.7;
  static final ExchangeSpec PORTIONS = spec(ExchangeSpec.Kind.PORTIONS, true);
  static final ExchangeSpec PAIRED = spec(ExchangeSpec.Kind.PAIRED, true);

  /** A device drops out by itself after so long without a word. */
  static final int DROP_OUT_SECONDS = 12;

  final ExchangeSpec spec;
  final Exchange rule;
  final Sump sump;

  /** What may have been exchanged by now, L. */
  double dueLitres = PORTION_LITRES;

  long windowLeftNanos = 9 * 60 * MINUTE;
  List<String> stops = List.of();

  /** The gate refuses, and says nothing. */
  boolean gateShut;

  /** The gate gives no run that is shorter, s. */
  int shortestRunSeconds = 1;

  Quality levelQuality = Quality.GOOD;
  int readingEverySeconds = 1;

  // What is on disk.
  @Nullable Portion portion;
  Rates rates;
  List<String> ends = List.of();
  List<String> waits = List.of();
  boolean toppedOff;

  /** Whether what tops off is certainly held. */
  boolean topOffHeld = true;

  double binLitres = Double.NaN;

  /** What the limit of out and in leaves for this run of the program, L. */
  double roomLitres = 10;

  /** What a sensor in a bin of 120 L is off, L, as a standard deviation; NaN for no sensor. */
  double binNoiseLitres = Double.NaN;

  private double binFilledAt;
  private double leftInBin = Double.NaN;
  private final java.util.SplittableRandom binRandom = new java.util.SplittableRandom(120);
  double outLitres;
  double inLitres;
  final List<Outcome.Fault> faults = new ArrayList<>();
  final List<Outcome> outcomes = new ArrayList<>();

  // What is not.
  Exchange.State state;
  Exchange.@Nullable Proposal proposal;
  private Trend trend = Trend.EMPTY;
  private @Nullable Signal signal;
  private long heardNanos;
  private long drainNanos;
  private long fillNanos;
  private long drainRunNanos;
  private long fillRunNanos;
  boolean draining;
  boolean filling;

  Instant wall = Instant.parse("2026-01-15T12:00:00Z");
  long mono = -40 * SECOND;

  ExchangeBench(ExchangeSpec spec, long seed) {
    this.spec = spec;
    rates = Rates.configured(spec);
    rule = new Exchange(spec);
    sump = new Sump(seed);
    state = Exchange.atBoot(now());
  }

  static ExchangeSpec spec(ExchangeSpec.Kind kind, boolean measured) {
    return spec(kind, measured, 0.25);
  }

  static ExchangeSpec spec(ExchangeSpec.Kind kind, boolean measured, double litresPerMinute) {
    return new ExchangeSpec(
        kind,
        10.2,
        PORTION_LITRES,
        List.of(
            new WindowSpec(
                LocalTime.of(13, 0), LocalTime.of(22, 0), EnumSet.allOf(DayOfWeek.class))),
        new ExchangeSpec.Pump("drain", litresPerMinute),
        new ExchangeSpec.Pump("fill", litresPerMinute),
        measured
            ? new ExchangeSpec.Level(
                "sump", Sump.LITRES_PER_MILLIMETRE, LOW_MILLIMETRES, HIGH_MILLIMETRES)
            : null,
        new ExchangeSpec.Bin("lagoon", 120, 35, 1, 0, null, null, null),
        3.4,
        IMBALANCE_LITRES,
        false,
        null,
        null,
        List.of());
  }

  Moment now() {
    return new Moment(wall, mono, true);
  }

  Phase phase() {
    return state.phase();
  }

  double surplusLitres() {
    return inLitres - outLitres;
  }

  /** Begins a portion and stops at its first second in a phase. */
  ExchangeBench until(Phase phase) {
    return until(() -> phase() == phase);
  }

  ExchangeBench until(BooleanSupplier holds) {
    for (int second = 0; !holds.getAsBoolean(); second++) {
      assertThat(second).as("still %s: %s", state, proposal).isLessThan(12 * 3600);
      second();
    }
    return this;
  }

  /** Until this portion is done. */
  ExchangeBench untilDone() {
    int before = outcomes.size();
    return until(
        () ->
            outcomes.size() > before && outcomes.get(outcomes.size() - 1) instanceof Outcome.Done);
  }

  ExchangeBench seconds(int seconds) {
    for (int i = 0; i < seconds; i++) {
      second();
    }
    return this;
  }

  /** One cycle, and a second in which the pumps do as they were told. */
  void second() {
    fold(propose());
    pass();
  }

  Exchange.Proposal propose() {
    hear();
    Exchange.Proposal proposed = rule.propose(state, world());
    proposal = proposed;
    state = proposed.state();
    boolean both = proposed.drain() && proposed.fill();
    assertThat(both && spec.kind() == ExchangeSpec.Kind.PORTIONS).as("%s", proposed).isFalse();
    assertThat((proposed.drain() || proposed.fill()) && !stops.isEmpty())
        .as("%s against %s", proposed, stops)
        .isFalse();
    assertThat(proposed.why()).isNotBlank();
    draining = !gateShut && proposed.drain() && granted(proposed.drainNanos(), drainNanos);
    filling = !gateShut && proposed.fill() && granted(proposed.fillNanos(), fillNanos);
    return proposed;
  }

  private boolean granted(long nanos, long usedNanos) {
    return nanos - usedNanos >= shortestRunSeconds * SECOND;
  }

  private void hear() {
    if (signal == null || now().since(heardNanos) >= readingEverySeconds * SECOND) {
      heardNanos = mono;
      signal = signal(sump.reading(), 0);
    }
    signal = signal(signal.value(), now().since(heardNanos));
    trend = trend.with(signal, now());
  }

  private Signal signal(double millimetres, long ageNanos) {
    return new Signal("sump", Measure.LEVEL, millimetres, levelQuality, "", ageNanos, true, 1);
  }

  /** The bin is filled again between two portions. */
  private void lookIntoBin() {
    if (Double.isNaN(binNoiseLitres)) {
      return;
    }
    if (portion == null && sump.inLitres - binFilledAt > 100) {
      binFilledAt = sump.inLitres;
      leftInBin = Double.NaN;
    }
    binLitres = 120 - (sump.inLitres - binFilledAt) + binNoiseLitres * binRandom.nextGaussian();
  }

  Exchange.World world() {
    lookIntoBin();
    return new Exchange.World(
        now(),
        Math.max(0, dueLitres - outLitres),
        windowLeftNanos,
        portion,
        spec.level() == null ? null : signal,
        spec.level() == null ? Trend.EMPTY : trend,
        stops,
        ends,
        waits,
        new Use(draining, drainNanos, draining ? drainRunNanos : 0, drainNanos),
        new Use(filling, fillNanos, filling ? fillRunNanos : 0, fillNanos),
        rates,
        surplusLitres(),
        roomLitres,
        binLitres,
        toppedOff,
        0,
        topOffHeld);
  }

  /** On disk before anything else happens. */
  void fold(Exchange.Proposal proposed) {
    Outcome outcome = proposed.outcome();
    if (outcome == null) {
      return;
    }
    outcomes.add(outcome);
    if (outcome instanceof Outcome.Reserve reserve) {
      portion =
          new Portion(
              1,
              LocalDate.of(2026, 1, 15),
              "2026-01-15#0",
              Math.round(reserve.litres() * 1000),
              micrometres(reserve.beforeMillimetres()),
              micrometres(reserve.targetMillimetres()),
              spec.microlitresPerMillimetre(),
              left(),
              0,
              0,
              false,
              Portion.Stage.DRAINING,
              0,
              Portion.UNMEASURED);
      drainNanos = 0;
      fillNanos = 0;
    } else if (outcome instanceof Outcome.Drained drained) {
      rates = rates.withDrain(drained.litres() * MINUTE / drainNanos);
      portion =
          portion.drained(
              Math.round(drained.litres() * 1000), micrometres(drained.levelMillimetres()));
    } else if (outcome instanceof Outcome.Done done) {
      double fills = done.inLitres() * MINUTE / fillNanos;
      rates =
          spec.kind() == ExchangeSpec.Kind.PORTIONS
              ? rates.withFill(fills)
              : Double.isNaN(binLitres)
                  ? rates.withFillBeside(fills)
                  : rates.withBoth(done.outLitres() * MINUTE / drainNanos, fills);
      leftInBin = portion.binLitres() - done.inLitres();
      outLitres += done.outLitres();
      inLitres += done.inLitres();
      portion = null;
    } else if (outcome instanceof Outcome.Fault fault) {
      faults.add(fault);
      stops = List.of(fault.name().word());
    }
  }

  /** What is left in the bin by the ledger, or what is in it now. */
  private long left() {
    double left = Double.isNaN(leftInBin) ? binLitres : leftInBin;
    return Double.isNaN(left) ? Portion.UNMEASURED : Math.round(left * 1000);
  }

  private static long micrometres(double millimetres) {
    return Double.isNaN(millimetres) ? Portion.UNMEASURED : Math.round(millimetres * 1000);
  }

  /** A second without a cycle. */
  void pass() {
    sump.second(draining, filling);
    drainNanos += draining ? SECOND : 0;
    fillNanos += filling ? SECOND : 0;
    drainRunNanos = draining ? drainRunNanos + SECOND : 0;
    fillRunNanos = filling ? fillRunNanos + SECOND : 0;
    advance(SECOND);
  }

  void advance(long nanos) {
    mono += nanos;
    wall = wall.plusNanos(nanos);
  }

  /**
   * The program is gone for so long; its devices run on until they drop out by themselves. What is
   * on disk is there again, and nothing else.
   */
  void kill(int downSeconds) {
    for (int i = 0; i < downSeconds; i++) {
      if (i == DROP_OUT_SECONDS) {
        draining = false;
        filling = false;
      }
      pass();
    }
    boot();
  }

  void boot() {
    draining = false;
    filling = false;
    drainNanos = 0;
    fillNanos = 0;
    trend = Trend.EMPTY;
    signal = null;
    mono += 1_000 * MINUTE; // another boot, another origin
    state = Exchange.atBoot(now());
    portion = portion == null ? null : portion.restarted();
  }

  /** After a jump in time: two minutes heard again. */
  void warmUp() {
    trend = Trend.EMPTY;
    for (int i = 0; i < 121; i++) {
      hear();
      pass();
    }
  }

  Trend trend() {
    return trend;
  }
}
