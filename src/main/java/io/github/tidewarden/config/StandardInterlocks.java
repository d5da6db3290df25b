package io.github.tidewarden.config;

import static io.github.tidewarden.interlock.TankFunction.EXCHANGE;
import static io.github.tidewarden.interlock.TankFunction.OZONE;
import static io.github.tidewarden.interlock.TankFunction.TOP_OFF;

import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.exchange.NewWater;
import io.github.tidewarden.interlock.Arming;
import io.github.tidewarden.interlock.Condition;
import io.github.tidewarden.interlock.Condition.Above;
import io.github.tidewarden.interlock.Condition.AllOf;
import io.github.tidewarden.interlock.Condition.AnyOf;
import io.github.tidewarden.interlock.Condition.Apart;
import io.github.tidewarden.interlock.Condition.Below;
import io.github.tidewarden.interlock.Condition.Is;
import io.github.tidewarden.interlock.Condition.Not;
import io.github.tidewarden.interlock.Condition.Outside;
import io.github.tidewarden.quantity.UnitCode;
import io.github.tidewarden.science.AirLimits;
import io.github.tidewarden.sensing.Measure;
import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.TimeUnit;
import java.util.function.Function;
import org.jspecify.annotations.Nullable;

/** The interlocks that declared sensors bring with them. Several sensors of a kind share one. */
final class StandardInterlocks {
  /** Redox at or under which ozone may not start, mV against Ag/AgCl 3 M KCl. */
  static final double REDOX_LOW_MILLIVOLTS = 200;

  /** How far over the ceiling redox latches, mV. */
  static final double OVER_CEILING_MILLIVOLTS = 20;

  /** Difference between two probes that is told, mV. */
  static final double APART_NOTICE_MILLIVOLTS = 30;

  /** Difference between two probes at which ozone rests, mV. */
  static final double APART_MILLIVOLTS = 60;

  /** Ozone in room air that is told, ppb. */
  static final double ROOM_OZONE_NOTICE_PPB = 50;

  /** Ozone in room air at which every generator of the room is stopped, ppb: never to be passed. */
  static final double ROOM_OZONE_PPB = AirLimits.NIOSH_CEILING_PPB;

  /** The name of every standard interlock. */
  static final List<String> NAMES =
      List.of(
          "redox-ceiling",
          "redox-low",
          "probes-apart-notice",
          "probes-apart",
          "air-lost",
          "circulation-lost",
          "skimmer-cup-full",
          "room-ozone-notice",
          "room-ozone",
          "leak",
          "level-high",
          "level-low",
          "new-water-low",
          "new-water-salinity",
          "new-water-temperature",
          "waste-full",
          "salinity-off");

  private static final long REST = TimeUnit.MINUTES.toNanos(10);
  private static final long LOST = TimeUnit.SECONDS.toNanos(5);
  private static final long LATCH = TimeUnit.SECONDS.toNanos(30);
  private static final int CEILING_TRIPS_A_NIGHT = 3;

  private final List<Sensor> sensors;
  private final @Nullable String cup;
  private final List<InterlockDraft> made = new ArrayList<>();

  private StandardInterlocks(List<Sensor> sensors, @Nullable String cup) {
    this.sensors = sensors;
    this.cup = cup;
  }

  /**
   * Makes them, in the order in which they are evaluated.
   *
   * @param sensors the tank's own and its room's
   * @param redox the tank's redox figures; null for a tank without ozone
   * @param exchange the tank's exchange; null for a tank without
   * @param cup the contact of its skimmer's cup; null for none
   */
  static List<InterlockDraft> of(
      List<Sensor> sensors,
      @Nullable RedoxLimits redox,
      @Nullable ExchangeSpec exchange,
      @Nullable String cup) {
    StandardInterlocks standard = new StandardInterlocks(sensors, cup);
    if (redox != null) {
      standard.redox(redox);
    }
    standard.airAndCirculation();
    standard.cup();
    standard.roomOzone();
    standard.leakAndLevel();
    standard.newWaterLow();
    if (exchange != null) {
      standard.newWater(exchange);
    }
    standard.waste();
    standard.salinity();
    return standard.made;
  }

  private void redox(RedoxLimits limits) {
    if (with(Measure.REDOX).isEmpty()) {
      return;
    }
    double ceiling = limits.ceilingMillivolts();
    made.add(
        new InterlockDraft("redox-ceiling", anyAbove(Measure.REDOX, ceiling))
            .clearsWhen(new Not(anyAbove(Measure.REDOX, limits.startBelowMillivolts())))
            .rests(REST)
            .latchesWhen(anyAbove(Measure.REDOX, ceiling + OVER_CEILING_MILLIVOLTS), LATCH)
            .latchesAtCount(CEILING_TRIPS_A_NIGHT)
            .stops(OZONE));
    made.add(
        new InterlockDraft(
                "redox-low",
                new InterlockDraft.Limit(
                    "below",
                    UnitCode.MILLIVOLT,
                    limits.lowMillivolts(),
                    false,
                    limit -> any(Measure.REDOX, s -> new Below(s.name(), limit))))
            .notice()
            .armed(Arming.WANTED)
            .stops(OZONE));
    if (with(Measure.REDOX).size() > 1) {
      apart();
    }
  }

  private void apart() {
    made.add(
        new InterlockDraft("probes-apart-notice", apartBy(APART_NOTICE_MILLIVOLTS))
            .notice()
            .armed(Arming.WANTED)
            .after(TimeUnit.MINUTES.toNanos(1)));
    made.add(
        new InterlockDraft("probes-apart", apartBy(APART_MILLIVOLTS))
            .armed(Arming.WANTED)
            .rests(REST)
            .latches(TimeUnit.MINUTES.toNanos(10))
            .stops(OZONE));
  }

  private InterlockDraft.Limit apartBy(double millivolts) {
    List<String> probes = with(Measure.REDOX).stream().map(Sensor::name).toList();
    return new InterlockDraft.Limit(
        "apart", UnitCode.MILLIVOLT, millivolts, true, limit -> new Apart(probes, limit));
  }

  private void airAndCirculation() {
    if (!with(Measure.AIR_FLOW).isEmpty()) {
      made.add(
          new InterlockDraft("air-lost", anyUnderItsLow(Measure.AIR_FLOW))
              .armed(Arming.RUNNING)
              .after(LOST)
              .rests(REST)
              .latches(LATCH)
              .stops(OZONE));
    }
    if (!with(Measure.RUNNING).isEmpty()) {
      made.add(
          new InterlockDraft("circulation-lost", any(Measure.RUNNING, s -> new Is(s.name(), false)))
              .armed(Arming.RUNNING)
              .after(LOST)
              .rests(REST)
              .stops(OZONE, EXCHANGE, TOP_OFF));
    }
  }

  /** A cup that is full runs over, and takes the carbon on the air that leaves it along. */
  private void cup() {
    String contact = cup;
    if (contact != null) {
      made.add(
          new InterlockDraft("skimmer-cup-full", new Is(contact, true))
              .rests(REST)
              .latches(LATCH)
              .stops(OZONE));
    }
  }

  private void roomOzone() {
    if (with(Measure.OZONE_IN_AIR).isEmpty()) {
      return;
    }
    made.add(
        new InterlockDraft(
                "room-ozone-notice",
                new InterlockDraft.Limit(
                    "above",
                    UnitCode.PPB,
                    ROOM_OZONE_NOTICE_PPB,
                    true,
                    limit -> anyAbove(Measure.OZONE_IN_AIR, limit)))
            .notice()
            .after(TimeUnit.MINUTES.toNanos(5)));
    made.add(
        new InterlockDraft(
                "room-ozone", any(Measure.OZONE_IN_AIR, s -> new Above(s.name(), s.high())))
            .after(LATCH)
            .latches(LATCH)
            .stops(OZONE));
  }

  private void leakAndLevel() {
    if (!with(Measure.LEAK).isEmpty()) {
      made.add(
          new InterlockDraft("leak", any(Measure.LEAK, s -> new Is(s.name(), true)))
              .latches(0)
              .stops(OZONE, EXCHANGE, TOP_OFF));
    }
    if (!with(Measure.LEVEL).isEmpty()) {
      made.add(levelHigh().stops(OZONE, EXCHANGE, TOP_OFF));
      made.add(
          new InterlockDraft("level-low", anyUnderItsLow(Measure.LEVEL))
              .rests(REST)
              .stops(EXCHANGE));
    }
  }

  /**
   * When the return stops, the water of the pipes comes down into the sump, and takes minutes to go
   * up again: that forbids, but latches nothing. Only with the return running is a level that stays
   * too high a fault.
   */
  private InterlockDraft levelHigh() {
    Condition high = any(Measure.LEVEL, s -> new Above(s.name(), s.high()));
    InterlockDraft draft = new InterlockDraft("level-high", high);
    return with(Measure.RUNNING).isEmpty()
        ? draft.latches(LATCH)
        : draft.latchesWhen(
            new AllOf(List.of(high, any(Measure.RUNNING, s -> new Is(s.name(), true)))), REST);
  }

  private void newWaterLow() {
    if (!with(Measure.VOLUME).isEmpty()) {
      made.add(
          new InterlockDraft("new-water-low", anyUnderItsLow(Measure.VOLUME))
              .armed(Arming.RUNNING)
              .rests(REST)
              .stops(EXCHANGE));
    }
  }

  /** What is in the bin fits the tank, as far as sensors in the bin tell. */
  private void newWater(ExchangeSpec exchange) {
    ExchangeSpec.Bin bin = exchange.bin();
    String salinity = bin.salinitySensor();
    if (salinity != null) {
      made.add(
          newWater(
              "new-water-salinity",
              new InterlockDraft.Limit(
                  "within",
                  UnitCode.PSU,
                  NewWater.MOST_OFF_PSU,
                  true,
                  limit ->
                      new Outside(
                          salinity, bin.salinityPsu() - limit, bin.salinityPsu() + limit))));
    }
    String inBin = bin.temperatureSensor();
    String inTank = exchange.temperatureSensor();
    if (inBin != null && inTank != null) {
      List<String> both = List.of(inBin, inTank);
      made.add(
          newWater(
              "new-water-temperature",
              new InterlockDraft.Limit(
                  "apart",
                  UnitCode.DEGREE_CELSIUS,
                  NewWater.MOST_OFF_KELVIN,
                  true,
                  limit -> new Apart(both, limit))));
    }
  }

  private static InterlockDraft newWater(String name, InterlockDraft.Limit limit) {
    return new InterlockDraft(name, limit).armed(Arming.RUNNING).rests(REST).stops(EXCHANGE);
  }

  private void waste() {
    List<Condition> full =
        with(Measure.FULL).stream()
            .filter(sensor -> !sensor.name().equals(cup))
            .<Condition>map(sensor -> new Is(sensor.name(), true))
            .toList();
    if (!full.isEmpty()) {
      made.add(new InterlockDraft("waste-full", anyOf(full)).rests(REST).stops(EXCHANGE));
    }
  }

  /** Those that are to be kept between two limits; one in a bin need not be. */
  private void salinity() {
    List<Condition> outside =
        with(Measure.SALINITY).stream()
            .filter(sensor -> !Double.isNaN(sensor.low()))
            .<Condition>map(sensor -> new Outside(sensor.name(), sensor.low(), sensor.high()))
            .toList();
    if (!outside.isEmpty()) {
      made.add(
          new InterlockDraft("salinity-off", anyOf(outside))
              .armed(Arming.RUNNING)
              .rests(REST)
              .stops(EXCHANGE));
    }
  }

  private List<Sensor> with(Measure measure) {
    return sensors.stream().filter(sensor -> sensor.measure() == measure).toList();
  }

  private Condition anyAbove(Measure measure, double limit) {
    return any(measure, sensor -> new Above(sensor.name(), limit));
  }

  private Condition anyUnderItsLow(Measure measure) {
    return any(measure, sensor -> new Below(sensor.name(), sensor.low()));
  }

  private Condition any(Measure measure, Function<Sensor, Condition> condition) {
    return anyOf(with(measure).stream().map(condition).toList());
  }

  private static Condition anyOf(List<Condition> parts) {
    return parts.size() == 1 ? parts.get(0) : new AnyOf(parts);
  }
}
