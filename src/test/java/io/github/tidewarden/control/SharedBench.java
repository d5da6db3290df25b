package io.github.tidewarden.control;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.exchange.Exchange;
import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.gate.ActuatorSpec;
import io.github.tidewarden.gate.HardLimits;
import io.github.tidewarden.interlock.ConfirmSpec;
import io.github.tidewarden.interlock.TankFunction;
import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.schedule.WindowSpec;
import io.github.tidewarden.sensing.Measure;
import io.github.tidewarden.sensing.Reading;
import io.github.tidewarden.sensing.SensorSpec;
import java.nio.charset.StandardCharsets;
import java.time.DayOfWeek;
import java.time.Instant;
import java.time.LocalTime;
import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.Collections;
import java.util.EnumSet;
import java.util.HashMap;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Set;
import java.util.TreeSet;
import java.util.concurrent.TimeUnit;
import org.jspecify.annotations.Nullable;

/** Some tanks of 100 L with a level each, and pumps that obey; a shared bin without a sensor. */
final class SharedBench {
  private static final double LITRES_PER_MM = 0.1;
  private static final double LITRES_PER_MINUTE = 0.25;

  final List<AuditRecord> records = new ArrayList<>();
  int mostAtOnce;
  int mostPumping;
  @Nullable String ozoneInAirOf;
  @Nullable String stuck;
  @Nullable String dry;

  /** This device, as tank/name, does nothing that it is told. */
  @Nullable String deaf;

  /** What the probe of each tank says that has one, degrees Celsius. */
  final Map<String, Double> celsius = new LinkedHashMap<>();

  /** The sensor of this tank's sump says nothing. */
  @Nullable String silent;

  /** The return of these tanks does not run; seen at a common sump only. */
  final Set<String> stopped = new TreeSet<>();

  boolean topsOff;
  double topped;

  /** Fresh water while a portion was under way that topping off would spoil, L. */
  double toppedInPortion;

  /** Seconds in which a pump ran and top-off was not held. */
  int unheldPumping;

  SiteState state;

  private final Site site;
  private final List<String> names = new ArrayList<>();
  private final Map<String, Double> millimetres = new LinkedHashMap<>();
  private final Map<String, String> sumps = new HashMap<>();
  private final Map<String, Long> onUntil = new HashMap<>();
  private final Map<String, String> told = new HashMap<>();
  private final Map<String, Double> pumped = new HashMap<>();
  private final ArrayDeque<Event> toCome = new ArrayDeque<>();
  private Instant wall = Instant.parse("2026-01-14T12:40:00Z");
  private long mono = TimeUnit.HOURS.toNanos(1);
  private long arrivals;
  private int requests;
  private boolean linkUp = true;

  /** Two tanks of one sump, measured by one sensor. */
  static SharedBench oneSump() {
    return oneSump(2);
  }

  /** So many tanks of one sump; the first has the hold on its top-off. */
  static SharedBench oneSump(int tanks) {
    return new SharedBench(Collections.nCopies(tanks, List.of("cellar")), true, false, false);
  }

  /** Two tanks of one sump that tops itself off, with new water that is confirmed. */
  static SharedBench toppedOffSump() {
    SharedBench bench = oneSump();
    bench.topsOff = true;
    bench.live(1190);
    bench.confirms("tank-0");
    return bench;
  }

  /** So many tanks at one bin. */
  SharedBench(int tanks) {
    this(Collections.nCopies(tanks, List.of("cellar")));
  }

  /** A tank for each list of what it shares. */
  SharedBench(List<List<String>> shares) {
    this(shares, false, false, false);
  }

  /** So many tanks at one bin, each with a probe of its temperature. */
  static SharedBench withProbes(int tanks) {
    return new SharedBench(Collections.nCopies(tanks, List.of("cellar")), false, true, false);
  }

  /** So many tanks at one bin, each with a hold on its top-off that reports what it does. */
  static SharedBench withHolds(int tanks) {
    return new SharedBench(Collections.nCopies(tanks, List.of("cellar")), false, false, true);
  }

  private SharedBench(List<List<String>> shares, boolean oneSump, boolean probes, boolean holds) {
    List<TankSpec> specs = new ArrayList<>();
    for (List<String> one : shares) {
      String name = "tank-" + names.size();
      names.add(name);
      millimetres.put(name, 200.0);
      specs.add(tank(name, one, oneSump ? names.get(0) : name, probes, holds));
      sumps.put(name, oneSump ? names.get(0) : name);
    }
    site =
        new Site(
            new SiteSpec(
                "lab",
                java.time.ZoneOffset.UTC,
                new HardLimits(430, TimeUnit.HOURS.toNanos(2), 60, 10, 0.5),
                specs));
    boots(SiteMemory.BLANK);
  }

  static ExchangeSpec exchange(String bin, List<String> shares) {
    return exchange(bin, shares, null);
  }

  private static ExchangeSpec exchange(
      String bin, List<String> shares, @Nullable String temperature) {
    return new ExchangeSpec(
        ExchangeSpec.Kind.PORTIONS,
        6,
        0.5,
        List.of(
            new WindowSpec(
                LocalTime.of(13, 0), LocalTime.of(22, 0), EnumSet.allOf(DayOfWeek.class))),
        new ExchangeSpec.Pump("drain", LITRES_PER_MINUTE),
        new ExchangeSpec.Pump("fill", LITRES_PER_MINUTE),
        new ExchangeSpec.Level("sump", LITRES_PER_MM, 150, 250),
        new ExchangeSpec.Bin(bin, 120, 35, 1, 0, null, null, null),
        0,
        1,
        false,
        null,
        temperature,
        shares);
  }

  private static SensorSpec circulation(String name) {
    Measure running = Measure.RUNNING;
    Map<String, Boolean> states = Map.of("1.00", true, "0.00", false);
    return new SensorSpec(
        "return", name + "/return", "", running, 1, 0, 1, running.staleNanos(), 0, states, "", "");
  }

  private static TankSpec tank(
      String name, List<String> shares, String sumpOf, boolean probe, boolean holds) {
    SensorSpec sump = Specs.sensor("sump", sumpOf + "/sump", "", Measure.LEVEL);
    SensorSpec air = Specs.sensor("room-ozone", name + "/air", "", Measure.OZONE_IN_AIR);
    ActuatorSpec drain = pump("drain", name);
    ActuatorSpec fill = pump("fill", name);
    ActuatorSpec hold =
        new ActuatorSpec("hold", TankFunction.TOP_OFF, name + "/hold", "on {seconds}", "off", 12);
    return new TankSpec(
        name,
        100,
        "",
        probe
            ? List.of(sump, air, Specs.sensor("water", name + "/water", "", Measure.TEMPERATURE))
            : sumpOf.equals(name) && !name.equals("tank-0")
                ? List.of(sump, air)
                : List.of(sump, air, circulation(name)),
        holds || (name.equals(sumpOf) && name.equals("tank-0"))
            ? List.of(drain, fill, hold)
            : List.of(drain, fill),
        holds
            ? Map.of("hold", new ConfirmSpec(name + "/reports", "", "1.00", "0.00", 5_000_000_000L))
            : Map.of(),
        List.of(Specs.roomOzone()),
        null,
        exchange("cellar", shares, probe ? "water" : null),
        Map.of(),
        CareSpec.NONE);
  }

  private static ActuatorSpec pump(String name, String tank) {
    return new ActuatorSpec(
        name, TankFunction.EXCHANGE, tank + "/" + name, "on {seconds}", "off", 12);
  }

  /** Whether the hold on the top-off of the first tank, or of the sump of all, is on. */
  boolean held() {
    return onUntil.getOrDefault("tank-0/hold", 0L) > mono;
  }

  List<String> tanks() {
    return names;
  }

  List<AuditRecord> records(Kind kind) {
    return records.stream().filter(record -> record.kind() == kind).toList();
  }

  long portions(String tank) {
    return records(Kind.FILLED).stream().filter(record -> record.tank().equals(tank)).count();
  }

  void livesUntil(String tank, Exchange.Phase phase) {
    for (int i = 0; i < 7200 && phase(tank) != phase; i++) {
      live(1);
    }
    assertThat(phase(tank)).as(tank).isEqualTo(phase);
  }

  private Exchange.Phase phase(String tank) {
    return state.tanks().get(tank).water().rule().phase();
  }

  /** What is in a tank, L, by the water that really moved. */
  double litres(String tank) {
    return millimetres.get(tank) * LITRES_PER_MM;
  }

  /** What a pump of a tank moved in all, L. */
  double pumped(String tank, String pump) {
    return pumped.getOrDefault(tank + "/" + pump, 0.0);
  }

  /** What is latched in any tank. */
  List<String> latches() {
    return names.stream()
        .flatMap(tank -> state.remembered().tank(tank).latches().keySet().stream())
        .toList();
  }

  /** The daemon is killed and starts again at once. */
  void restarts() {
    toCome.clear();
    SiteMemory memory = SiteMemory.BLANK.knowing(names.stream());
    for (AuditRecord record : records) {
      memory = memory.apply(record);
    }
    boots(memory);
  }

  private void boots(SiteMemory memory) {
    Site.Result result =
        site.boot(memory, "boot-1", "", true, Map.of(), new Moment(wall, mono, true));
    state = result.state();
    result.effects().forEach(this::carryOut);
    event(new Event.LinkUp());
  }

  /** The next step of this tank throws. */
  void breaks(String tank) {
    state = Broken.of(state, tank);
  }

  String why(String tank) {
    return told.getOrDefault(tank, "");
  }

  void confirms(String tank, String... said) {
    StringBuilder more = new StringBuilder();
    for (int i = 0; i < said.length; i += 2) {
      more.append(",\"%s\":\"%s\"".formatted(said[i], said[i + 1]));
    }
    String json =
        """
        {"act":"batch","tank":"%s","salinity":"35 PSU","temperature":"25 Cel","mixed-for":"4 h",\
        "by":"rosa","id":"id-%d","sent":"%s"%s}"""
            .formatted(tank, ++requests, wall, more);
    int before = records(Kind.ACT).size();
    event(new Event.Asked(new Request(requests, json.getBytes(StandardCharsets.UTF_8))));
    assertThat(records(Kind.ACT)).hasSize(before + 1);
  }

  void resets(String tank, String name) {
    String json =
        """
        {"act":"reset","tank":"%s","name":"%s","text":"seen","by":"rosa","id":"id-%d","sent":"%s"}"""
            .formatted(tank, name, ++requests, wall);
    event(new Event.Asked(new Request(requests, json.getBytes(StandardCharsets.UTF_8))));
    assertThat(state.remembered().tank(tank).latches()).doesNotContainKey(name);
  }

  void live(int seconds) {
    for (int i = 0; i < seconds; i++) {
      for (String tank : names) {
        flows(tank);
        if (celsius.containsKey(tank)) {
          says(tank + "/water", celsius.get(tank));
        }
        if (!tank.equals(silent)) {
          says(tank + "/sump", millimetres.get(tank));
        }
      }
      for (String tank : names) {
        says(tank + "/return", stopped.contains(tank) ? 0 : 1);
      }
      if (ozoneInAirOf != null) {
        says(ozoneInAirOf + "/air", 200);
      }
      wall = wall.plusSeconds(1);
      mono += TimeUnit.SECONDS.toNanos(1);
      event(new Event.Tick());
      long atOnce =
          state.tanks().values().stream()
              .filter(tank -> tank.memory().water().portion() != null)
              .filter(tank -> tank.memory().latches().isEmpty())
              .count();
      mostPumping = Math.max(mostPumping, pumping());
      if (pumping() > 0 && !held()) {
        unheldPumping++;
      }
      mostAtOnce = Math.max(mostAtOnce, Math.toIntExact(atOnce));
    }
  }

  /** The broker is away for so long: nothing is heard, and leases run out. */
  void losesLink(int seconds) {
    event(new Event.LinkDown("gone"));
    linkUp = false;
    live(seconds);
    linkUp = true;
    event(new Event.LinkUp());
  }

  private void says(String topic, double value) {
    if (!linkUp) {
      return;
    }
    byte[] payload = String.format(Locale.ROOT, "%.2f", value).getBytes(StandardCharsets.UTF_8);
    event(
        new Event.Heard(
            new Reading(++arrivals, topic, payload, false, new Moment(wall, mono, true))));
  }

  private int pumping() {
    return Math.toIntExact(
        names.stream()
            .filter(
                tank ->
                    onUntil.getOrDefault(tank + "/drain", 0L) > mono
                        || onUntil.getOrDefault(tank + "/fill", 0L) > mono)
            .count());
  }

  private void flows(String tank) {
    double step = LITRES_PER_MINUTE / 60 / LITRES_PER_MM;
    if (onUntil.getOrDefault(tank + "/drain", 0L) > mono && !tank.equals(stuck)) {
      millimetres.merge(sumps.get(tank), -step, Double::sum);
      pumped.merge(tank + "/drain", LITRES_PER_MINUTE / 60, Double::sum);
    }
    if (tank.equals("tank-0") && topsOff && !held() && millimetres.get(tank) < 199) {
      millimetres.merge(tank, 0.2 / 60 / LITRES_PER_MM, Double::sum);
      topped += 0.2 / 60;
      if (state.tanks().values().stream()
          .map(TankState::memory)
          .anyMatch(memory -> memory.water().portion() != null && memory.latches().isEmpty())) {
        toppedInPortion += 0.2 / 60;
      }
    }
    if (onUntil.getOrDefault(tank + "/fill", 0L) > mono && !tank.equals(dry)) {
      millimetres.merge(sumps.get(tank), step, Double::sum);
    }
  }

  private void event(Event first) {
    toCome.add(first);
    while (!toCome.isEmpty()) {
      Site.Result result = site.step(state, toCome.poll(), new Moment(wall, mono, true));
      state = result.state();
      result.effects().forEach(this::carryOut);
    }
  }

  private void carryOut(Effect effect) {
    if (effect instanceof Effect.Send send && linkUp) {
      String device = send.command().tank() + "/" + send.command().actuator();
      boolean obeys = !device.equals(deaf);
      long lease = obeys ? TimeUnit.SECONDS.toNanos(send.command().leaseSeconds()) : 0;
      onUntil.put(device, mono + lease);
      if (send.command().actuator().equals("hold")) {
        says(send.command().tank() + "/reports", lease > 0 ? 1 : 0);
      }
    } else if (effect instanceof Effect.Write write) {
      records.add(write.record());
      if (write.permits()) {
        toCome.add(new Event.Synced(write.ticket()));
      }
    } else if (effect instanceof Effect.Tell tell && tell.topic().endsWith("/state")) {
      told.put(
          tell.topic().replace("/state", ""), String.valueOf(tell.content().get("exchange-why")));
    }
  }
}
