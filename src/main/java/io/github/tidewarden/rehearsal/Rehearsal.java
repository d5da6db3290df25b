package io.github.tidewarden.rehearsal;

import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.SiteSpec;
import io.github.tidewarden.control.TankMemory;
import io.github.tidewarden.control.TankSpec;
import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.schedule.Interval;
import io.github.tidewarden.schedule.Nights;
import io.github.tidewarden.sensing.Measure;
import java.time.Duration;
import java.time.Instant;
import java.time.LocalDate;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.concurrent.TimeUnit;
import java.util.function.Consumer;
import java.util.function.IntConsumer;

/**
 * Nights of a configuration at a simulated site. A keeper comes by each day at half past noon, see
 * {@link RehearsedKeeper}.
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
   * @param quiet the same while no window is near; the longer, the quicker the rehearsal
   * @param faults whether every other night, from the first on, has faults
   */
  public record Task(
      SiteSpec spec,
      SiteSpec judged,
      TankModels models,
      LocalDate first,
      int nights,
      long seed,
      Duration period,
      Duration quiet,
      boolean faults) {}

  /**
   * What it came to.
   *
   * @param nights of each tank, in order
   * @param broken what must never happen and did, in the order in which it did
   * @param events how many events the core has taken
   * @param storms the faults of each night that had some, each in a few words
   * @param recoveries how many tanks' functions were seen to work again in the night after faults
   */
  public record Outcome(
      Map<String, List<RehearsedNight>> nights,
      List<String> broken,
      long events,
      Map<LocalDate, List<String>> storms,
      int recoveries) {}

  private static final Duration VISIT = Duration.ofMinutes(30);
  private static final Duration LOOK = Duration.ofSeconds(10);

  /**
   * While the keeper is there, and before, the sensors speak as often as ever, once they have
   * spoken again: long enough for a level to be seen at rest.
   */
  private static final Duration ATTENDED = Duration.ofMinutes(25);

  /** What a function gives at least of its share in a night in which nothing is wrong. */
  private static final double SHARE = 0.9;

  private static final long LEAST_OZONE_NANOS = TimeUnit.MINUTES.toNanos(1);

  /** As what is told of a night in which a function did not work again, or no reset was done. */
  private static final String NOT_AGAIN = "not-again";

  private final Task task;
  private final Map<String, Watched> tanks = new LinkedHashMap<>();
  private final Consumer<AuditRecord> audience;
  private final Judge judge;
  private final RehearsedSite site;
  private final RehearsedKeeper keeper;
  private final Storm storm;
  private final Map<LocalDate, List<String>> storms = new LinkedHashMap<>();
  private int recoveries;
  private List<Interval> busy = List.of();
  private boolean attended;

  private Rehearsal(Task task, List<Hazard> hazards, Consumer<AuditRecord> audience) {
    this.task = task;
    this.audience = audience;
    for (TankSpec tank : task.spec().tanks()) {
      tanks.put(tank.name(), new Watched(tank));
    }
    judge = new Judge(task.judged());
    site =
        new RehearsedSite(
            task.spec(),
            task.models(),
            task.seed(),
            Nights.interval(task.first(), task.spec().zone()).start(),
            new RehearsedSite.Pace(task.period(), task.quiet(), isLazy(task), this::isBusy),
            judge,
            this::told,
            this::runs);
    keeper = new RehearsedKeeper(task.spec(), task.models(), site);
    storm =
        new Storm(task.spec(), task.models(), site, judge, keeper, hazards, task.seed() ^ 0x570);
    for (TankSpec tank : task.spec().tanks()) {
      task.models()
          .apply(tank)
          .fittings()
          .faults()
          .keySet()
          .forEach(device -> excuses(tank, device));
    }
  }

  /** What is wrong with a device for good is not the daemon's doing. */
  private void excuses(TankSpec tank, String device) {
    JudgedTruth truth = judge.truth(tank.name());
    truth.excuses(device, true);
    boolean ozone = tank.ozone() != null && device.equals(tank.ozone().generator());
    if (!ozone) {
      truth.excusesWater(true);
    }
  }

  /**
   * Rehearses.
   *
   * @param done hears after each night how many are done
   */
  public static Outcome of(Task task, IntConsumer done) {
    return of(task, List.of(Hazard.values()), record -> {}, done);
  }

  /**
   * Rehearses.
   *
   * @param hazards the faults of which are drawn
   * @param audience hears each record as it is written
   */
  static Outcome of(
      Task task, List<Hazard> hazards, Consumer<AuditRecord> audience, IntConsumer done) {
    return new Rehearsal(task, hazards, audience).run(done);
  }

  /** A task that hurries while nothing happens hurries wherever it can. */
  private static boolean isLazy(Task task) {
    return task.quiet().compareTo(task.period()) > 0;
  }

  private boolean isBusy(Instant at) {
    return attended || busy.stream().anyMatch(span -> span.contains(at));
  }

  private Outcome run(IntConsumer done) {
    for (int i = 0; i < task.nights(); i++) {
      LocalDate name = task.first().plusDays(i);
      boolean stormy = task.faults() && i % 2 == 0;
      Moment began = site.now();
      lives(name, stormy);
      if (stormy) {
        storms.put(name, storm.told());
        storm.heals();
        keeper.releases();
      } else if (task.faults()) {
        isLively(began);
      }
      tanks.values().forEach(tank -> tank.ends(name, site.rig()));
      String altered = site.altered();
      if (!altered.isEmpty()) {
        judge.breaks(10, "", site.now(), altered + " of the audit is not what was written");
      }
      judge.ends();
      done.accept(i + 1);
    }
    Map<String, List<RehearsedNight>> nights = new LinkedHashMap<>();
    tanks.forEach((name, tank) -> nights.put(name, List.copyOf(tank.nights)));
    return new Outcome(
        nights,
        judge.broken().stream().map(this::told).toList(),
        site.daemon().events(),
        storms,
        recoveries + judge.returns());
  }

  private void lives(LocalDate name, boolean stormy) {
    Interval night = Nights.interval(name, task.spec().zone());
    List<Interval> own = Busy.of(task.spec(), name);
    busy = new ArrayList<>(own);
    busy.addAll(Busy.of(task.spec(), name.minusDays(1))); // a window may go on over noon
    tanks.values().forEach(tank -> tank.begins(site.rig()));
    Instant visit = night.start().plus(VISIT);
    lives(visit.minus(ATTENDED));
    attended = true;
    lives(visit);
    for (String refused : keeper.visits()) {
      judge.breaks(Judge.LIVENESS, "", site.now(), refused);
    }
    attended = false;
    if (stormy && !own.isEmpty()) {
      storm.breaksOut(own);
    }
    lives(night.end().minus(ATTENDED));
    attended = true;
    lives(night.end());
    attended = false;
  }

  /** After a night without faults: what is not latched has worked, and what is can be let go. */
  private void isLively(Moment began) {
    attended = true;
    for (Watched tank : tanks.values()) {
      String name = tank.spec.name();
      if (site.memory().tank(name).latches().isEmpty() && !judge.countedAll(name, began)) {
        tank.isLively();
      }
      for (String refused : keeper.resets(tank.spec)) {
        tank.fails("reset-refused", "no reset of " + refused);
      }
    }
    attended = false;
  }

  private void lives(Instant until) {
    while (site.now().wall().isBefore(until)) {
      Instant now = site.now().wall();
      Instant next = now.plus(isBusy(now) ? LOOK : task.quiet());
      site.until(next.isBefore(until) ? next : until);
      tanks.values().forEach(tank -> tank.looks(site.rig()));
      judge.looks(site.rig(), site.now());
      for (Watched tank : tanks.values()) {
        judge.looks(tank.spec.name(), isWell(tank.spec), site.now());
      }
    }
  }

  /** Whether no fault goes on, and no keeper has anything to do at a tank. */
  private boolean isWell(TankSpec tank) {
    if (task.models().file() != null || !storm.isOver() || !site.awake()) {
      return false;
    }
    TankMemory memory = site.memory().tank(tank.name());
    return memory.latches().isEmpty() && memory.holds().isEmpty() && site.hasNewWater(tank);
  }

  private void told(AuditRecord record) {
    audience.accept(record);
    Watched tank = tanks.get(record.tank());
    if (tank != null) {
      tank.hears(record);
    }
  }

  private void runs(String tank) {
    storm.runs(tank);
  }

  private String told(Judge.Broken broken) {
    return (broken.invariant() == Judge.LIVENESS ? "liveness" : "invariant " + broken.invariant())
        + ", "
        + broken.tank()
        + ", night of "
        + Nights.nightOf(broken.at(), task.spec().zone())
        + ", "
        + broken.at()
        + ", event "
        + broken.event()
        + ": "
        + broken.what();
  }

  /** One tank as it is looked at. */
  private final class Watched {
    private final TankSpec spec;
    private final int probes;
    private final List<RehearsedNight> nights = new ArrayList<>();
    private final Map<String, Map<String, Integer>> causes = new LinkedHashMap<>();
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
      int modelled = task.models().apply(spec).probes().size();
      probes = spec.ozone() == null ? 0 : Math.min(spec.ozone().probes().size(), modelled);
    }

    void hears(AuditRecord record) {
      switch (record.kind()) {
        case TRIP, SILENT, LATCHED, FAULT, MISSED, NEW_WATER, NOTICE ->
            counts(record.kind().word(), name(record));
        default -> {
          // The rest is as it should be.
        }
      }
    }

    private void counts(String kind, String name) {
      causes.computeIfAbsent(kind, word -> new LinkedHashMap<>()).merge(name, 1, Integer::sum);
    }

    private String name(AuditRecord record) {
      Object name = record.fields().get("name");
      return name == null ? record.kind().word() : name.toString();
    }

    void begins(SiteRig rig) {
      SimulatedTank water = rig.tank(spec.name()).tank();
      causes.clear();
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
      for (int i = 0; i < probes; i++) {
        probe = probe.with(water.probeRedoxMillivolts(i));
      }
      level = level.with(water.value(Measure.LEVEL));
      psu = psu.with(water.value(Measure.SALINITY));
      nutrient = nutrient.with(water.nutrientMilligramsPerLitre());
      room = room.with(water.value(Measure.OZONE_IN_AIR));
    }

    private long generatorNanos(SiteRig rig) {
      return spec.ozone() == null
          ? 0
          : rig.tank(spec.name()).device(spec.ozone().generator()).onNanos();
    }

    /** Whether it was given what it is to be given. */
    void isLively() {
      SimulatedTank water = site.rig().tank(spec.name()).tank();
      ExchangeSpec exchange = spec.exchange();
      if (exchange != null) {
        double out = water.outLitres() - outLitres;
        judged(
            out >= SHARE * exchange.litresPerDay(),
            "share-missed",
            "only " + out + " L were exchanged");
      }
      if (spec.ozone() != null) {
        long nanos = generatorNanos(site.rig()) - ozoneNanos;
        judged(
            nanos >= Math.min(LEAST_OZONE_NANOS, spec.ozone().mostPerNightNanos() / 2),
            "no-ozone",
            "only " + nanos / 1e9 + " s of ozone were given");
      }
    }

    private void judged(boolean works, String name, String what) {
      recoveries++;
      if (!works) {
        fails(name, "nothing was wrong or latched, and " + what);
      }
    }

    /**
     * It does not work. Of a typical tank that is the daemon's fault; a tank that a keeper
     * describes may need no ozone, or have pumps that cannot do it, and is only told of.
     */
    void fails(String name, String what) {
      if (task.models().file() == null) {
        judge.breaks(Judge.LIVENESS, spec.name(), site.now(), what);
      } else {
        counts(NOT_AGAIN, name);
      }
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
              water.value(Measure.SALINITY),
              water.nutrientMilligramsPerLitre(),
              causes));
    }
  }
}
