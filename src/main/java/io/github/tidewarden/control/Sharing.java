package io.github.tidewarden.control;

import io.github.tidewarden.exchange.Exchange;
import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.interlock.TankFunction;
import io.github.tidewarden.quantity.Moment;
import java.util.Comparator;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.Optional;
import java.util.stream.Stream;

/**
 * Whose turn it is at equipment that several tanks use: one portion at a time. Who has waited
 * longest comes first, in the order of the configuration when two began to wait together; whoever
 * had a portion waits anew behind the others, so nobody starves. A portion that stands still for
 * long gives way, and goes on before another one begins.
 */
final class Sharing {
  private final Map<Tank, Group> groups;
  private final Map<String, TankState> states;
  private final Moment now;

  /**
   * In one step.
   *
   * @param groups see {@link #groups}
   */
  Sharing(Map<Tank, Group> groups, Map<String, TankState> states, Moment now) {
    this.groups = groups;
    this.states = states;
    this.now = now;
  }

  /**
   * Those with whom a tank shares something, each list in the order of the configuration.
   *
   * @param others all of them
   * @param before those that come before it
   * @param all with itself
   * @param sameLevel those whose water is measured by the same sensor
   */
  record Group(List<Tank> others, List<Tank> before, List<Tank> all, List<Tank> sameLevel) {
    static final Group NONE = new Group(List.of(), List.of(), List.of(), List.of());

    static Group of(Tank tank, List<Tank> tanks) {
      List<Tank> all =
          tanks.stream().filter(one -> one == tank || shared(tank, one).isPresent()).toList();
      List<Tank> others = all.stream().filter(one -> one != tank).toList();
      return new Group(
          others,
          all.stream().takeWhile(one -> one != tank).toList(),
          all,
          others.stream()
              .filter(one -> level(tank).isPresent() && level(tank).equals(level(one)))
              .toList());
    }
  }

  /** Who shares something with whom; that stands in the configuration and never changes. */
  static Map<Tank, Group> groups(List<Tank> tanks) {
    Map<Tank, Group> groups = new HashMap<>();
    for (Tank tank : tanks) {
      ExchangeSpec exchange = tank.spec.exchange();
      boolean shares = exchange != null && !exchange.shares().isEmpty();
      groups.put(tank, shares ? Group.of(tank, tanks) : Group.NONE);
    }
    return groups;
  }

  /** What a tank has to know of the others. */
  Surroundings of(Tank tank, BinMemory bin) {
    Group group = Objects.requireNonNull(groups.get(tank));
    List<Tank> others = group.others();
    if (others.isEmpty()) {
      return new Surroundings(bin, List.of(), List.of(), Surroundings.Level.STILL);
    }
    Surroundings.Level level = level(group.sameLevel());
    if (open(tank)) {
      Optional<Tank> before =
          standstill(tank).gaveWay()
              ? others.stream().filter(this::uses).findFirst()
              : Stream.concat(
                      group.before().stream().filter(this::works),
                      others.stream().filter(this::moves))
                  .findFirst();
      return new Surroundings(
          bin, List.of(), before.map(other -> serves(tank, other)).stream().toList(), level);
    }
    Optional<Tank> busy =
        others.stream()
            .filter(
                other ->
                    uses(other)
                        || standstill(other).waitsForItsTurn()
                        || (group.sameLevel().contains(other) && standsHalfDone(other)))
            .findFirst();
    if (busy.isPresent()) {
      return new Surroundings(bin, List.of(serves(tank, busy.get())), List.of(), level);
    }
    Optional<Tank> first =
        group.all().stream()
            .filter(one -> state(one).water().rule().inTurn())
            .min(Comparator.comparingLong(one -> state(one).water().rule().waitsNanos()));
    List<String> waits =
        first.isPresent() && first.get() == tank
            ? List.of()
            : List.of(
                first.map(other -> other.spec.name() + " comes first").orElse("its turn comes"));
    return new Surroundings(bin, waits, List.of(), level);
  }

  /** What these tanks do to the level that they are all measured by. */
  private Surroundings.Level level(List<Tank> others) {
    List<Tank> holders = others.stream().filter(other -> other.hold() != null).toList();
    return new Surroundings.Level(
        others.stream().anyMatch(this::moves),
        others.stream().anyMatch(other -> TopOffKeeper.isNeeded(state(other).memory())),
        others.stream().anyMatch(other -> state(other).water().rule().holdsTopOff()),
        holders.stream().map(holder -> state(holder).water().topOff()).toList(),
        holders.stream()
            .allMatch(
                holder -> state(holder).water().topOff().held(holder, state(holder).devices())),
        holders.stream()
            .anyMatch(
                holder ->
                    state(holder).water().topOff().mayLetIn(holder, state(holder).devices(), now)));
  }

  /** By which sensor a tank's water is measured, its topic and what of it; empty for none. */
  private static Optional<List<String>> level(Tank tank) {
    return Optional.ofNullable(tank.spec.exchange())
        .map(ExchangeSpec::level)
        .flatMap(
            level ->
                tank.spec.sensors().stream()
                    .filter(sensor -> sensor.name().equals(level.sensor()))
                    .findFirst())
        .map(sensor -> List.of(sensor.topic(), sensor.pointer()));
  }

  private String serves(Tank tank, Tank other) {
    return shared(tank, other).orElseThrow() + " serves " + other.spec.name();
  }

  /** The first thing that both use; empty for none, and for one and the same tank. */
  private static Optional<String> shared(Tank tank, Tank other) {
    return tank == other || tank.spec.exchange() == null || other.spec.exchange() == null
        ? Optional.empty()
        : tank.spec.exchange().shares().stream()
            .filter(Objects.requireNonNull(other.spec.exchange()).shares()::contains)
            .findFirst();
  }

  private boolean open(Tank tank) {
    return state(tank).memory().water().portion() != null;
  }

  private boolean uses(Tank tank) {
    return works(tank) || asks(tank) || moves(tank);
  }

  private Standstill standstill(Tank tank) {
    return state(tank).water().standstill();
  }

  /**
   * A tank whose exchange waits for its keeper, or gave way, holds nobody up; its pumps rest until
   * then.
   */
  private boolean works(Tank tank) {
    return standsHalfDone(tank) && !standstill(tank).gaveWay();
  }

  /**
   * Whether a portion is under way that no keeper is waited for with. Where one level measures both
   * nobody can begin another meanwhile: each would judge what the other moved.
   */
  private boolean standsHalfDone(Tank tank) {
    return open(tank) && !tank.awaitsKeeper(TankFunction.EXCHANGE, state(tank).memory());
  }

  /** Whether one of its pumps may still run, whatever it was told. */
  private boolean moves(Tank tank) {
    WaterState water = state(tank).water();
    return !water.drain().atRest()
        || !water.fill().atRest()
        || now.since(water.quietUntilNanos()) < 0;
  }

  private boolean asks(Tank tank) {
    TankState state = state(tank);
    TankState.Pending pending = state.pending();
    return (pending != null && pending.record().kind() == Kind.PORTION)
        || state.water().rule().phase() == Exchange.Phase.ASKING;
  }

  private TankState state(Tank tank) {
    return Objects.requireNonNull(states.get(tank.spec.name()));
  }
}
