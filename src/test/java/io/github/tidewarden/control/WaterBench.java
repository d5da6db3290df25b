package io.github.tidewarden.control;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.config.ConfigException;
import io.github.tidewarden.config.ConfigText;
import io.github.tidewarden.exchange.ExchangeSpec;
import io.github.tidewarden.gate.Command;
import io.github.tidewarden.quantity.Moment;
import io.github.tidewarden.sensing.Reading;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.DoubleSummaryStatistics;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Random;
import java.util.concurrent.TimeUnit;
import java.util.function.BooleanSupplier;
import org.jspecify.annotations.Nullable;

/**
 * The whole core on the lagoon of the shipped configuration, with a sump of water under it: pumps
 * that move what they move, evaporation, a top-off that obeys its hold, a return pump, and a level
 * sensor with noise. Steps of one second. After every step the memory is held against what recovery
 * would make of the records.
 */
final class WaterBench {
  static final Instant OPENS = Instant.parse("2026-01-14T13:00:00Z");
  static final double LITRES_PER_MM = 0.12;
  private static final double NOMINAL_MM = 212;
  private static final double WATER = 340;

  final List<AuditRecord> records = new ArrayList<>();
  final Map<String, Effect.Tell> told = new LinkedHashMap<>();
  final List<Effect.Answer> answers = new ArrayList<>();
  final Map<String, Long> onUntil = new LinkedHashMap<>();
  private final SiteSpec spec;
  private final LagoonSensors sensors;

  Site site;
  SiteState state;
  Instant wall;
  long mono = TimeUnit.HOURS.toNanos(1);

  // The water.
  double sumpLitres = NOMINAL_MM * LITRES_PER_MM;
  double displayLitres = WATER - NOMINAL_MM * LITRES_PER_MM;
  double saltGrams = WATER * 35;
  double binLitres = 120;
  double drainLitresPerMinute = 0.25;
  double fillLitresPerMinute = 0.25;
  double binPsu = 35;
  double skimmateLitresPerDay;
  double evaporationLitresPerDay = 3.4;
  double noiseMm = 1;
  double binNoiseLitres;
  double leakLitresPerMinute;
  boolean returnRuns = true;
  boolean topsOff = true;

  /** Whether the hold on top-off shuts it. */
  boolean holdShuts = true;

  /** The hold on top-off says nothing of itself. */
  boolean holdMute;

  /** The level sensor tells whole multiples of this; 0 for every digit. */
  double stepMm;

  /** What the level sensor is stuck at; NaN for one that is not. */
  double stuckMm = Double.NaN;

  boolean linkUp;

  /** What the float valve lets in. */
  double topOffLitresPerMinute = 0.2;

  boolean diskFull;

  /** What is written gets to the disk once this is over, in its order. */
  boolean diskSlow;

  private final ArrayDeque<Event> onTheWay = new ArrayDeque<>();

  /** As the link does between a connect and the answer to its subscription. */
  boolean refusesRuns;

  String floor = "dry";
  int redox = 370;
  double drainedLitres;
  double filledLitres;
  double toppedLitres;
  boolean toppedWhilePortion;

  /** What the water was at every moment, also of those that no sensor saw. */
  DoubleSummaryStatistics levelsMm = new DoubleSummaryStatistics();

  DoubleSummaryStatistics salinitiesPsu = new DoubleSummaryStatistics();

  private double backLitres;
  private final ArrayDeque<Event> toCome = new ArrayDeque<>();
  private SiteMemory folded;
  private int foldedRecords;
  private long arrivals;
  private int boots = 1;
  private long requests;
  private long wakeNanos;

  WaterBench(long seed, Instant start) {
    this(lagoon(), seed, start);
  }

  /** On a lagoon whose configuration was changed. */
  WaterBench(SiteSpec spec, long seed, Instant start) {
    this.spec = spec;
    wall = start;
    sensors = new LagoonSensors(this, new Random(seed));
    site = new Site(spec);
    folded = SiteMemory.BLANK.knowing(spec.tanks());
    boot(SiteMemory.BLANK);
  }

  /** The example without a probe of the tank's salinity. */
  static ConfigText withoutSalinity() {
    return ConfigText.lab()
        .with(
            "      salinity:    { topic: lab/lagoon/salinity, measures: salinity, unit: PSU,"
                + " keep-between: [33.5 PSU, 36.5 PSU] }\n",
            "")
        .with("    without: {", "    without: { salinity-sensor: by hand,");
  }

  static SiteSpec lagoon() {
    return lagoon(ConfigText.lab());
  }

  /** The lagoon alone, of a text that may be changed. */
  static SiteSpec lagoon(ConfigText text) {
    try {
      SiteSpec read = text.read().site();
      return new SiteSpec(read.name(), read.zone(), read.hardLimits(), read.tanks().subList(0, 1));
    } catch (ConfigException e) {
      throw new IllegalStateException(e);
    }
  }

  Moment now() {
    return new Moment(wall, mono, true);
  }

  WaterMemory memory() {
    return state.remembered().tank("lagoon").water();
  }

  Map<String, String> latches() {
    return state.remembered().tank("lagoon").latches();
  }

  WaterState water() {
    return state.tanks().get("lagoon").water();
  }

  String phase() {
    return water().rule().phase().name();
  }

  boolean on(String actuator) {
    return onUntil.getOrDefault(actuator, 0L) > mono;
  }

  double levelMm() {
    return sumpLitres / LITRES_PER_MM;
  }

  double psu() {
    return saltGrams / (sumpLitres + displayLitres);
  }

  private void boot(SiteMemory memory) {
    boot(memory, "", true);
  }

  private void boot(SiteMemory memory, String recovery, boolean readable) {
    Site.Result result = site.boot(memory, "boot-" + boots, recovery, readable, Map.of(), now());
    state = result.state();
    wakeNanos = result.wakeNanos();
    linkUp = false;
    carryOut(result.effects());
    comesIn();
  }

  /** The daemon is killed and starts again; the devices drop out by themselves. */
  void restarts(int secondsLater) {
    for (int i = 0; i < secondsLater; i++) {
      flows(1);
    }
    toCome.clear();
    fold();
    boot(folded);
  }

  /** The program is held up: nothing is heard, told or done, while devices drop out. */
  void standsStill(int seconds) {
    for (int i = 0; i < seconds; i++) {
      flows(1);
    }
    event(new Event.Tick());
  }

  /** Power fails, and the machine with the daemon comes back much later: another boot of it. */
  void isWithoutPower(Duration time) {
    for (long second = 0; second < time.toSeconds(); second++) {
      flows(1);
    }
    boots++;
    mono = TimeUnit.MINUTES.toNanos(1);
    onUntil.clear();
    sensors.beginAnew();
    restarts(0);
  }

  /** The daemon starts again, and nothing of its log can be read back. */
  void losesItsPast() {
    toCome.clear();
    folded = SiteMemory.BLANK.knowing(spec.tanks());
    foldedRecords = records.size();
    boot(SiteMemory.BLANK, "a segment has another hash", false);
  }

  /** The keeper takes the exchange out of the configuration, and starts the daemon again. */
  void losesItsExchange() {
    reconfigures(null);
  }

  /** The keeper gives the tank another exchange, or none, and starts the daemon again. */
  void reconfigures(@Nullable ExchangeSpec exchange) {
    SiteSpec lab = lagoon();
    TankSpec tank = lab.tanks().get(0);
    TankSpec other =
        new TankSpec(
            tank.name(),
            tank.waterLitres(),
            tank.room(),
            tank.sensors(),
            tank.actuators(),
            tank.confirms(),
            tank.interlocks(),
            tank.ozone(),
            exchange,
            tank.without(),
            tank.care());
    site = new Site(new SiteSpec(lab.name(), lab.zone(), lab.hardLimits(), List.of(other)));
    restarts(5);
  }

  void connects() {
    event(new Event.LinkUp());
  }

  /** Why the exchange rests, or what it does, as the state topic says it last. */
  String why() {
    return String.valueOf(told.get("lagoon/state").content().get("exchange-why"));
  }

  /** Time passes without a reading; the water stands still. */
  void jumpsTo(Instant instant) {
    mono += Duration.between(wall, instant).toNanos();
    wall = instant;
  }

  /**
   * A keeper asks for something; the answer, null for none yet. Further fields are name and value
   * in turn.
   */
  Effect.@Nullable Answer asks(String act, String... said) {
    StringBuilder json = new StringBuilder("{\"act\":\"" + act + "\",\"tank\":\"lagoon\"");
    for (int i = 0; i < said.length; i += 2) {
      json.append(",\"%s\":\"%s\"".formatted(said[i], said[i + 1]));
    }
    json.append(",\"by\":\"rosa\",\"id\":\"id-%d\",\"sent\":\"%s\"}".formatted(++requests, wall));
    int before = answers.size();
    event(new Event.Asked(new Request(requests, json.toString().getBytes(StandardCharsets.UTF_8))));
    return answers.size() == before ? null : answers.get(answers.size() - 1);
  }

  /** The keeper confirms what is in the bin. */
  void confirmsBatch() {
    Effect.Answer answer =
        asks("batch", "salinity", "35 PSU", "temperature", "25 Cel", "mixed-for", "4 h");
    assertThat(answer.done()).as(answer.what()).isTrue();
  }

  void event(Event event) {
    if (!diskSlow) {
      toCome.addAll(onTheWay);
      onTheWay.clear();
    }
    toCome.add(event);
    comesIn();
  }

  private void comesIn() {
    while (!toCome.isEmpty()) {
      Event event = toCome.poll();
      if (event instanceof Event.LinkUp || event instanceof Event.LinkDown) {
        linkUp = event instanceof Event.LinkUp;
      }
      Site.Result result = site.step(state, event, now());
      state = result.state();
      wakeNanos = result.wakeNanos();
      carryOut(result.effects());
    }
    if (foldedRecords < records.size() && onTheWay.isEmpty()) {
      fold();
      assertThat(Checkpoint.of(folded)).isEqualTo(Checkpoint.of(state.remembered()));
    }
  }

  private void fold() {
    while (foldedRecords < records.size()) {
      folded = folded.apply(records.get(foldedRecords++));
    }
  }

  private void carryOut(List<Effect> effects) {
    for (Effect effect : effects) {
      if (effect instanceof Effect.Send send) {
        sends(send.command());
      } else if (effect instanceof Effect.Write write) {
        if (write.permits() && diskFull) {
          toCome.add(new Event.Unwritten(write.ticket(), "no space left"));
        } else {
          records.add(write.record());
          if (write.permits()) {
            (diskSlow ? onTheWay : toCome).add(new Event.Synced(write.ticket()));
          }
        }
      } else if (effect instanceof Effect.Tell tell) {
        told.put(tell.topic(), tell);
      } else if (effect instanceof Effect.Answer answer) {
        answers.add(answer);
      }
    }
  }

  private void sends(Command command) {
    if (linkUp && command.runs() && refusesRuns) {
      toCome.add(new Event.Undelivered(command.tank(), "the link did not take it"));
    } else if (linkUp) {
      onUntil.put(command.actuator(), mono + TimeUnit.SECONDS.toNanos(command.leaseSeconds()));
      boolean mute = holdMute && command.actuator().equals("top-off-hold");
      if (!mute
          && (command.actuator().equals("generator")
              || command.actuator().equals("top-off-hold"))) {
        String topic = command.topic().replace("/set", "/state").replace("/hold", "/state");
        toCome.add(heard(topic, "{\"on\":" + command.runs() + "}"));
      }
    }
  }

  private Event heard(String topic, String payload) {
    return new Event.Heard(
        new Reading(++arrivals, topic, payload.getBytes(StandardCharsets.UTF_8), false, now()));
  }

  /** Some seconds of water; the devices do the same all the while. */
  private void flows(double seconds) {
    double minutes = seconds / 60;
    if (on("drain")) {
      double litres = Math.min(drainLitresPerMinute * minutes, sumpLitres);
      saltGrams -= litres * psu();
      sumpLitres -= litres;
      drainedLitres += litres;
    }
    if (on("fill")) {
      double litres = Math.min(fillLitresPerMinute * minutes, binLitres);
      saltGrams += litres * binPsu;
      sumpLitres += litres;
      binLitres -= litres;
      filledLitres += litres;
    }
    sumpLitres -= evaporationLitresPerDay / 1440 * minutes + leakLitresPerMinute * minutes;
    double skimmate = skimmateLitresPerDay / 1440 * minutes;
    saltGrams -= skimmate * psu();
    sumpLitres -= skimmate;
    if (topsOff && !(holdShuts && on("top-off-hold")) && levelMm() < NOMINAL_MM - 1) {
      sumpLitres += topOffLitresPerMinute * minutes;
      toppedLitres += topOffLitresPerMinute * minutes;
      toppedWhilePortion |= memory().portion() != null;
    }
    // The display holds some water back while the return runs; it comes down when it stops.
    double wanted = returnRuns ? 0 : 74 * LITRES_PER_MM;
    double step = Math.max(-8.9 * seconds / 90, Math.min(8.9 * seconds / 90, wanted - backLitres));
    backLitres += step;
    sumpLitres += step;
    displayLitres -= step;
    wall = wall.plusNanos((long) (seconds * 1e9));
    mono += (long) (seconds * 1e9);
    levelsMm.accept(levelMm());
    salinitiesPsu.accept(psu());
  }

  /** All sensors once a second. */
  void live(int seconds) {
    for (int i = 0; i < seconds; i++) {
      if (linkUp) {
        sensors.speak();
      }
      flows(1);
      event(new Event.Tick());
    }
  }

  /**
   * One step of so many seconds. At its end those sensors speak whose turn it is, and the core is
   * asked if it wanted to be and nothing woke it, as the control loop does.
   */
  void passes(int seconds) {
    flows(seconds);
    if (linkUp) {
      sensors.speakInTurn();
    }
    if (mono - wakeNanos >= 0) {
      event(new Event.Tick());
    }
  }

  void says(String topic, String payload) {
    event(heard(topic, payload));
  }

  /** Lives until something is so, at most for some time; whether it became so. */
  boolean liveUntil(BooleanSupplier is, Duration atMost) {
    for (int second = 0; second < atMost.toSeconds() && !is.getAsBoolean(); second++) {
      live(1);
    }
    return is.getAsBoolean();
  }

  List<AuditRecord> records(Kind kind) {
    return records.stream().filter(record -> record.kind() == kind).toList();
  }

  AuditRecord last(Kind kind) {
    List<AuditRecord> all = records(kind);
    return all.get(all.size() - 1);
  }
}
