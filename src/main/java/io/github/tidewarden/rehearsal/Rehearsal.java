package io.github.tidewarden.rehearsal;

import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.Effect;
import io.github.tidewarden.control.SiteSpec;
import io.github.tidewarden.control.TankSpec;
import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.schedule.Interval;
import io.github.tidewarden.schedule.Nights;
import io.github.tidewarden.sensing.Measure;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.util.ArrayList;
import java.util.HashSet;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Set;
import java.util.function.Function;
import java.util.function.IntConsumer;

/**
 * Nights of a configuration at a simulated site, with nothing wrong. A keeper comes by each day at
 * half past noon: fills and confirms what bin is less than half full, and pours fresh water in
 * where no float valve does it.
 */
public final class Rehearsal {

  /**
   * What is asked for.
   *
   * @param spec the configuration
   * @param judged the configuration by which it is judged; the same but in a test of the judge
   * @param models the figures of each tank
   * @param first the first night
   * @param nights how many, positive
   * @param seed of all that is drawn
   * @param period from one reading of every sensor to the next; at most 10 s, or no level is known
   */
  public record Task(
      SiteSpec spec,
      SiteSpec judged,
      Function<TankSpec, TankModel> models,
      LocalDate first,
      int nights,
      long seed,
      Duration period) {}

  /**
   * What it came to.
   *
   * @param nights of each tank, in order
   * @param broken what must never happen and did, in the order in which it did
   * @param events how many events the core has taken
   */
  public record Outcome(
      Map<String, List<RehearsedNight>> nights, List<String> broken, long events) {}

  private static final Duration VISIT = Duration.ofMinutes(30);
  private static final Duration LOOK = Duration.ofSeconds(10);

  /** Below this share of what a bin holds the keeper fills it. */
  private static final double FILLS_BELOW = 0.5;

  private final Task task;
  private final Map<String, Watched> tanks = new LinkedHashMap<>();
  private final Judge judge;
  private final RehearsedSite site;
  private Interval night;

  private Rehearsal(Task task) {
    this.task = task;
    for (TankSpec tank : task.spec().tanks()) {
      tanks.put(tank.name(), new Watched(tank));
    }
    night = Nights.interval(task.first(), task.spec().zone());
    judge = new Judge(task.judged());
    site =
        new RehearsedSite(
            task.spec(),
            task.models(),
            task.seed(),
            night.start(),
            new RehearsedSite.Pace(task.period(), task.period(), any -> true),
            judge,
            this::told);
  }

  /**
   * Rehearses.
   *
   * @param done hears after each night how many are done
   */
  public static Outcome of(Task task, IntConsumer done) {
    return new Rehearsal(task).run(done);
  }

  private Outcome run(IntConsumer done) {
    for (int i = 0; i < task.nights(); i++) {
      LocalDate name = task.first().plusDays(i);
      night = Nights.interval(name, task.spec().zone());
      tanks.values().forEach(tank -> tank.begins(site.rig()));
      Instant visit = night.start().plus(VISIT);
      lives(visit);
      visits();
      lives(night.end());
      tanks.values().forEach(tank -> tank.ends(name, site.rig()));
      done.accept(i + 1);
    }
    Map<String, List<RehearsedNight>> nights = new LinkedHashMap<>();
    tanks.forEach((name, tank) -> nights.put(name, List.copyOf(tank.nights)));
    return new Outcome(
        nights, judge.broken().stream().map(Rehearsal::told).toList(), site.daemon().events());
  }

  private void lives(Instant until) {
    while (site.now().wall().isBefore(until)) {
      Instant next = site.now().wall().plus(LOOK);
      site.until(next.isBefore(until) ? next : until);
      tanks.values().forEach(tank -> tank.looks(site.rig()));
      judge.looks(site.rig(), site.now());
    }
  }

  private void told(AuditRecord record) {
    Watched tank = tanks.get(record.tank());
    if (tank != null) {
      tank.hears(record);
    }
  }

  private static String told(Judge.Broken broken) {
    return "invariant "
        + broken.invariant()
        + ", "
        + broken.tank()
        + ", "
        + broken.at()
        + ": "
        + broken.what();
  }

  // The keeper.

  private void visits() {
    Set<String> bins = new HashSet<>();
    for (Watched tank : tanks.values()) {
      ExchangeSpec exchange = tank.spec.exchange();
      if (exchange != null) {
        SimulatedTank water = site.rig().tank(tank.spec.name()).tank();
        tank.poursFreshWater(water);
        if (bins.add(exchange.bin().name())) {
          fills(tank.spec, exchange.bin(), water.bin());
        }
      }
    }
  }

  private void fills(TankSpec tank, ExchangeSpec.Bin bin, SimulatedBin water) {
    boolean known = site.memory().bin(bin.name()).batch() != null || bin.salinitySensor() != null;
    if (known && water.litres() > FILLS_BELOW * bin.holdsLitres()) {
      return;
    }
    water.fill(bin.holdsLitres() - water.litres(), bin.salinityPsu());
    if (bin.salinitySensor() != null) {
      return;
    }
    site.until(site.now().wall().plus(Duration.ofMinutes(3))); // its sensor has seen it by then
    long asked =
        site.asks(
            String.format(
                Locale.ROOT,
                "{\"act\":\"batch\",\"tank\":\"%s\",\"salinity\":\"%.3f PSU\","
                    + "\"temperature\":\"25 Cel\",\"mixed-for\":\"24 h\",\"by\":\"rehearsal\","
                    + "\"id\":\"batch-%s-%s\",\"sent\":\"%s\"}",
                tank.name(),
                water.psu(),
                bin.name(),
                night.start(),
                site.now().wall()));
    site.until(site.now().wall().plus(Duration.ofSeconds(1)));
    Effect.Answer answer = site.answer(asked);
    if (answer == null || !answer.done()) {
      throw new IllegalStateException(
          "the batch of " + bin.name() + " was refused: " + (answer == null ? "" : answer.what()));
    }
  }

  /** One tank as it is looked at. */
  private final class Watched {
    private final TankSpec spec;
    private final List<RehearsedNight> nights = new ArrayList<>();
    private final Map<String, Integer> incidents = new LinkedHashMap<>();
    private Range redox = Range.NOTHING;
    private Range probe = Range.NOTHING;
    private Range level = Range.NOTHING;
    private Range psu = Range.NOTHING;
    private Range nutrient = Range.NOTHING;
    private Range room = Range.NOTHING;
    private long ozoneNanos;
    private double outLitres;
    private double inLitres;

    Watched(TankSpec spec) {
      this.spec = spec;
    }

    void hears(AuditRecord record) {
      switch (record.kind()) {
        case TRIP, SILENT, LATCHED, FAULT, MISSED, NEW_WATER ->
            incidents.merge(name(record), 1, Integer::sum);
        case NOTICE -> incidents.merge(name(record), 1, Integer::sum);
        default -> {
          // The rest is as it should be.
        }
      }
    }

    private String name(AuditRecord record) {
      Object name = record.fields().get("name");
      return name == null ? record.kind().word() : name.toString();
    }

    void begins(SiteRig rig) {
      SimulatedTank water = rig.tank(spec.name()).tank();
      incidents.clear();
      redox = Range.NOTHING;
      probe = Range.NOTHING;
      level = Range.NOTHING;
      psu = Range.NOTHING;
      nutrient = Range.NOTHING;
      room = Range.NOTHING;
      ozoneNanos = generatorNanos(rig);
      outLitres = water.outLitres();
      inLitres = water.inLitres();
    }

    void looks(SiteRig rig) {
      SimulatedTank water = rig.tank(spec.name()).tank();
      redox = redox.with(water.waterRedoxMillivolts());
      for (int i = 0; i < probes(); i++) {
        probe = probe.with(water.probeRedoxMillivolts(i));
      }
      level = level.with(water.value(Measure.LEVEL));
      psu = psu.with(water.value(Measure.SALINITY));
      nutrient = nutrient.with(water.nutrientMilligramsPerLitre());
      room = room.with(water.value(Measure.OZONE_IN_AIR));
    }

    private int probes() {
      return spec.ozone() == null
          ? 0
          : Math.min(spec.ozone().probes().size(), task.models().apply(spec).probes().size());
    }

    private long generatorNanos(SiteRig rig) {
      return spec.ozone() == null
          ? 0
          : rig.tank(spec.name()).device(spec.ozone().generator()).onNanos();
    }

    void ends(LocalDate name, SiteRig rig) {
      SimulatedTank water = rig.tank(spec.name()).tank();
      nights.add(
          new RehearsedNight(
              name,
              generatorNanos(rig) - ozoneNanos,
              redox,
              probe,
              water.outLitres() - outLitres,
              water.inLitres() - inLitres,
              level,
              psu,
              nutrient,
              room,
              incidents));
    }

    /** As high as the middle and half a day's evaporation, where no valve does it. */
    void poursFreshWater(SimulatedTank water) {
      ExchangeSpec exchange = spec.exchange();
      ExchangeSpec.Level measured = exchange == null ? null : exchange.level();
      TankModel.Water model = task.models().apply(spec).water();
      if (measured != null && model.topOffLitresPerMinute() == 0) {
        double middle = (measured.lowMillimetres() + measured.highMillimetres()) / 2;
        water.makeGood(
            middle + model.evaporationLitresPerDay() / 2 / measured.litresPerMillimetre());
      }
    }
  }
}
