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
import org.jspecify.annotations.Nullable;

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

  private static final Duration MOST_LATER = Duration.ofSeconds(10);

  /**
   * A fault as it was drawn.
   *
   * @param runs with the how-manieth run or renewal at the tank it begins; 0 for at a time
   * @param from when it begins, at the earliest
   */
  private record Drawn(Hazard hazard, TankSpec tank, int runs, Instant from, Duration time) {}

  private static final class Active {
    final Drawn drawn;
    final Scene scene;
    @Nullable Runnable end;

    Active(Drawn drawn, Scene scene) {
      this.drawn = drawn;
      this.scene = scene;
    }
  }

  private final SiteSpec spec;
  private final Function<TankSpec, TankModel> models;
  private final RehearsedSite site;
  private final Judge judge;
  private final RehearsedKeeper keeper;
  private final List<Hazard> hazards;
  private final SplittableRandom random;
  private final List<Active> active = new ArrayList<>();
  private final List<Active> awaited = new ArrayList<>();
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
   * Draws the faults of a night and sets them going.
   *
   * @param busy when something can happen in it, at least one
   * @return each in a few words, in the order in which they begin
   */
  List<String> breaksOut(List<Interval> busy) {
    over = false;
    runs.clear();
    awaited.clear();
    List<Drawn> drawn = new ArrayList<>();
    int count = random.nextInt(FEWEST, MOST + 1);
    for (int i = 0; i < count; i++) {
      Interval span = busy.get(random.nextInt(busy.size()));
      long at = random.nextLong(Duration.between(span.start(), span.end()).toNanos());
      boolean running = random.nextInt(100) < WHILE_RUNNING;
      drawn.add(
          new Drawn(
              hazards.get(random.nextInt(hazards.size())),
              spec.tanks().get(random.nextInt(spec.tanks().size())),
              running ? random.nextInt(1, MOST_RUNS + 1) : 0,
              running ? site.now().wall() : span.start().plusNanos(at),
              time()));
    }
    drawn.sort(Comparator.comparing(Drawn::from));
    drawn.forEach(this::schedule);
    return drawn.stream().map(Storm::told).toList();
  }

  /** As often seconds as minutes. */
  private Duration time() {
    double shortest = Math.log((double) SHORTEST.toMillis());
    double longest = Math.log((double) LONGEST.toMillis());
    return Duration.ofMillis((long) Math.exp(random.nextDouble(shortest, longest)));
  }

  private void schedule(Drawn drawn) {
    Scene scene =
        new Scene(
            site,
            keeper,
            drawn.tank(),
            Objects.requireNonNull(models.apply(drawn.tank())),
            random.split());
    Active one = new Active(drawn, scene);
    if (drawn.runs() > 0) {
      awaited.add(one);
      return;
    }
    long in = Duration.between(site.now().wall(), drawn.from()).toNanos();
    site.time().in(Math.max(0, in), () -> begins(one));
  }

  /** A device is told to run, or to run on. */
  void runs(String tank) {
    if (over) {
      return;
    }
    int count = runs.merge(tank, 1, Integer::sum);
    for (Active one : List.copyOf(awaited)) {
      if (one.drawn.tank().name().equals(tank) && one.drawn.runs() == count) {
        awaited.remove(one);
        site.time().in(random.nextLong(MOST_LATER.toNanos()), () -> begins(one));
      }
    }
  }

  private void begins(Active one) {
    if (over || active.stream().anyMatch(other -> isSame(one, other))) {
      return;
    }
    one.end = one.drawn.hazard().begin(one.scene);
    if (one.end == null) {
      return; // this tank cannot have it
    }
    if (one.scene.excused()) {
      judge.excuses(one.drawn.tank().name(), true);
    }
    active.add(one);
    site.time().in(one.drawn.time().toNanos(), () -> ends(one));
  }

  /** The same fault twice at once would end with the first. */
  private static boolean isSame(Active one, Active other) {
    return one.drawn.hazard() == other.drawn.hazard();
  }

  private void ends(Active one) {
    if (active.remove(one)) {
      Objects.requireNonNull(one.end).run();
      if (one.scene.excused()) {
        judge.excuses(one.drawn.tank().name(), false);
      }
    }
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

  private static String told(Drawn drawn) {
    return (drawn.runs() == 0 ? drawn.from().toString() : "with run or renewal " + drawn.runs())
        + " "
        + drawn.tank().name()
        + ": "
        + drawn.hazard().told()
        + " for "
        + TimeUnit.MILLISECONDS.toSeconds(drawn.time().toMillis())
        + " s";
  }
}
