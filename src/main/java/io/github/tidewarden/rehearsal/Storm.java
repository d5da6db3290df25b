package io.github.tidewarden.rehearsal;

import io.github.tidewarden.control.SiteSpec;
import io.github.tidewarden.control.TankSpec;
import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.schedule.Interval;
import io.github.tidewarden.sensing.Measure;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.SplittableRandom;
import java.util.concurrent.TimeUnit;
import java.util.function.Function;

/**
 * The faults of a night, drawn by seed: three to seven of them, each at one tank, at a time at
 * which something can happen, and for seconds to the better part of an hour.
 */
final class Storm {

  private static final int FEWEST = 3;
  private static final int MOST = 7;
  private static final Duration SHORTEST = Duration.ofSeconds(1);
  private static final Duration LONGEST = Duration.ofMinutes(45);

  /** What differs by more from what a bin should hold is thrown away. */
  private static final double WRONG_PSU = 0.05;

  /** So many faults of a hundred begin while a device runs. */
  private static final int WHILE_RUNNING = 70;

  /** At which run or renewal of the night at the latest. */
  private static final int MOST_RUNS = 100;

  /** So long before the last of the busy spans is over, what no run began begins. */
  private static final Duration LAST_CHANCE = Duration.ofMinutes(20);

  private static final Duration MOST_LATER = Duration.ofSeconds(10);

  /**
   * Where and when a fault is to be.
   *
   * @param runs with the how-manieth run or renewal at the tank it begins; 0 for none
   * @param from when it begins, if it has not begun with a run before
   */
  private record Place(TankSpec tank, int runs, Instant from, Duration time) {}

  /** A fault that goes on. */
  private record Active(Hazard hazard, Place place, Scene scene, Runnable end) {}

  private final SiteSpec spec;
  private final Function<TankSpec, TankModel> models;
  private final RehearsedSite site;
  private final Judge judge;
  private final RehearsedKeeper keeper;
  private final List<Hazard> hazards;
  private final SplittableRandom random;
  private final List<Active> active = new ArrayList<>();
  private final List<Place> awaited = new ArrayList<>();
  private final List<String> begun = new ArrayList<>();
  private final Map<String, Integer> runs = new HashMap<>();
  private boolean over = true;

  /**
   * A calm site.
   *
   * @param hazards of which it draws
   */
  Storm(
      SiteSpec spec,
      Function<TankSpec, TankModel> models,
      RehearsedSite site,
      Judge judge,
      RehearsedKeeper keeper,
      List<Hazard> hazards,
      long seed) {
    this.spec = spec;
    this.models = models;
    this.site = site;
    this.judge = judge;
    this.keeper = keeper;
    this.hazards = hazards;
    random = new SplittableRandom(seed);
  }

  /**
   * Draws where and when the faults of a night are to be, and sets them going.
   *
   * @param busy when something can happen in it, at least one
   */
  void breaksOut(List<Interval> busy) {
    over = false;
    runs.clear();
    awaited.clear();
    begun.clear();
    int count = random.nextInt(FEWEST, MOST + 1);
    for (int i = 0; i < count; i++) {
      Interval span = busy.get(random.nextInt(busy.size()));
      long at = random.nextLong(Duration.between(span.start(), span.end()).toNanos());
      boolean running = random.nextInt(100) < WHILE_RUNNING;
      schedule(
          new Place(
              spec.tanks().get(random.nextInt(spec.tanks().size())),
              running ? random.nextInt(1, MOST_RUNS + 1) : 0,
              running ? last(busy).minus(LAST_CHANCE) : span.start().plusNanos(at),
              time()));
    }
  }

  private static Instant last(List<Interval> busy) {
    return busy.stream().map(Interval::end).max(Comparator.naturalOrder()).orElseThrow();
  }

  /** The faults of the night so far, each in a few words, in the order in which they began. */
  List<String> told() {
    return List.copyOf(begun);
  }

  /** As often seconds as minutes. */
  private Duration time() {
    double shortest = Math.log((double) SHORTEST.toMillis());
    double longest = Math.log((double) LONGEST.toMillis());
    return Duration.ofMillis((long) Math.exp(random.nextDouble(shortest, longest)));
  }

  private void schedule(Place place) {
    if (place.runs() > 0) {
      awaited.add(place);
    }
    long in = Duration.between(site.now().wall(), place.from()).toNanos();
    site.time()
        .in(
            Math.max(0, in),
            () -> {
              if (place.runs() == 0 || awaited.remove(place)) {
                begins(place);
              }
            });
  }

  /** A device is told to run, or to run on. */
  void runs(String tank) {
    if (over) {
      return;
    }
    int count = runs.merge(tank, 1, Integer::sum);
    for (Place one : List.copyOf(awaited)) {
      if (one.tank().name().equals(tank) && one.runs() == count) {
        awaited.remove(one);
        site.time().in(random.nextLong(MOST_LATER.toNanos()), () -> begins(one));
      }
    }
  }

  /** Draws until it is one that this tank can have and that does not go on already. */
  private void begins(Place place) {
    if (over) {
      return;
    }
    List<Hazard> left = new ArrayList<>(hazards);
    active.forEach(one -> left.remove(one.hazard())); // twice at once would end with the first
    while (!left.isEmpty()) {
      Hazard hazard = left.remove(random.nextInt(left.size()));
      Scene scene =
          new Scene(
              site,
              keeper,
              place.tank(),
              Objects.requireNonNull(models.apply(place.tank())),
              random.split());
      Runnable end = hazard.begin(scene);
      if (end != null) {
        goesOn(new Active(hazard, place, scene, end));
        return;
      }
    }
  }

  private void goesOn(Active one) {
    begun.add(
        site.now().wall()
            + " "
            + one.place().tank().name()
            + ": "
            + one.hazard().told()
            + " for "
            + TimeUnit.MILLISECONDS.toSeconds(one.place().time().toMillis())
            + " s");
    one.scene().tells(judge.truth(one.place().tank().name()), true);
    active.add(one);
    site.time().in(one.place().time().toNanos(), () -> ends(one));
  }

  private void ends(Active one) {
    if (active.remove(one)) {
      one.end().run();
      one.scene().tells(judge.truth(one.place().tank().name()), false);
    }
  }

  /** Whether none goes on. */
  boolean isOver() {
    return active.isEmpty();
  }

  /** Everything heals; what a fault has not done yet it does no more. */
  void heals() {
    over = true;
    for (Active one : List.copyOf(active)) {
      ends(one);
    }
    site.starts();
    for (TankSpec tank : spec.tanks()) {
      ExchangeSpec exchange = tank.exchange();
      if (exchange != null) {
        SimulatedTank water = site.rig().tank(tank.name()).tank();
        TankModel model = models.apply(tank);
        if (exchange.level() != null) {
          water.set(Measure.LEVEL, start(model, Measure.LEVEL));
        }
        water.set(Measure.SALINITY, start(model, Measure.SALINITY));
        double mixedPsu = exchange.bin().salinityPsu() + model.fittings().newWaterOffPsu();
        if (Math.abs(water.bin().psu() - mixedPsu) > WRONG_PSU) {
          water.bin().holds(0); // the keeper fills it anew
        }
      }
    }
  }

  private static double start(TankModel model, Measure measure) {
    return Objects.requireNonNull(model.steady().get(measure)).value();
  }
}
