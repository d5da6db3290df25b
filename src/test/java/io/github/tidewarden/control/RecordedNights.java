package io.github.tidewarden.control;

import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.Map;

/**
 * Nights that the real core recorded on the bench, for those who read records. Each is one tank,
 * {@code lagoon}, with one window from 01:30 to 03:00 in Lisbon, the night of 14 January 2026 if
 * not said otherwise.
 */
public final class RecordedNights {
  private static final String REDOX_B = "lab/lagoon/redox/b";
  private static final double AIR = 5;
  private static final double ROOM_OZONE = 3;

  private final Bench bench;
  private long requests;

  /** A bench one hour before the window of 15 January, connected. */
  public RecordedNights() {
    this(Bench.WINDOW_OPENS);
  }

  /** A bench one hour before a window opens, connected. */
  public RecordedNights(Instant windowOpens) {
    this(Specs.lagoon(), windowOpens);
  }

  private RecordedNights(TankSpec tank, Instant windowOpens) {
    bench = new Bench(Specs.site(tank), windowOpens.minusSeconds(3600));
    bench.connect();
  }

  /** What the core needs to know of the site. */
  public static SiteSpec site() {
    return Specs.site(Specs.lagoon());
  }

  /** Everything recorded so far. */
  public List<AuditRecord> records() {
    return List.copyOf(bench.records);
  }

  /** What the core holds true now. */
  public SiteMemory memory() {
    return bench.state.remembered();
  }

  /** Time passes without a reading until {@code instant}; then one tick. */
  public RecordedNights until(String instant) {
    bench.passes(Duration.between(bench.wall, Instant.parse(instant)));
    tick();
    return this;
  }

  /** All sensors and the device answer at 1 Hz for some seconds. */
  public RecordedNights steady(int seconds, double redoxA, double redoxB) {
    return lives(seconds, redoxA, redoxB, AIR, ROOM_OZONE, true);
  }

  /** As {@link #steady}, redox rising or falling evenly from one value to another. */
  public RecordedNights ramp(int seconds, double from, double to) {
    for (int second = 0; second < seconds; second++) {
      double redox = from + (to - from) * second / seconds;
      steady(1, redox, redox + 3);
    }
    return this;
  }

  /** As {@link #steady}, but the air flow is {@code air} and one probe may be mute. */
  public RecordedNights odd(int seconds, double redox, double air, boolean muteB) {
    if (muteB) {
      bench.mute.add(REDOX_B);
    }
    lives(seconds, redox, redox + 3, air, ROOM_OZONE, true);
    bench.mute.remove(REDOX_B);
    return this;
  }

  /** As {@link #odd}, with ozone in the room's air, ppb. */
  public RecordedNights foul(int seconds, double redox, double air, double roomOzone) {
    return lives(seconds, redox, redox + 3, air, roomOzone, true);
  }

  /** The device says nothing from here on. */
  public RecordedNights muteDevice(int seconds, double redox) {
    return lives(seconds, redox, redox + 3, AIR, ROOM_OZONE, false);
  }

  private RecordedNights lives(
      int seconds, double redoxA, double redoxB, double air, double room, boolean deviceAnswers) {
    bench.redox(redoxA, redoxB);
    bench.says("lab/lagoon/air", Double.toString(air));
    bench.says("lab/gallery/ozone", Double.toString(room));
    for (int second = 0; second < seconds; second++) {
      if (deviceAnswers) {
        deviceAnswers();
      }
      bench.sensorsSpeak();
      if (deviceAnswers) {
        deviceAnswers();
      }
      bench.passes(Duration.ofSeconds(1));
      tick();
    }
    return this;
  }

  private void deviceAnswers() {
    bench.passes(Duration.ofNanos(1)); // an answer is never there before the word it answers
    bench.devicesAnswer();
  }

  /**
   * Hours before the window the keeper calibrates redox-a, which reads 20 mV too low in ZoBell's;
   * then the sensors are silent until an hour before it.
   */
  public static RecordedNights calibrated() {
    RecordedNights night = new RecordedNights(Bench.WINDOW_OPENS.minusSeconds(7_200));
    // ZoBell's at 25 °C against Ag/AgCl 3 M KCl: 428 - 207 mV (Standard Methods 2580:I)
    night.steady(160, 201, 323);
    String request =
        ("{\"act\":\"calibrate-probe\",\"tank\":\"lagoon\",\"name\":\"redox-a\",\"in\":\"zobell\","
                + "\"temperature\":\"25 Cel\",\"by\":\"rosa\",\"id\":\"z1\",\"sent\":\"%s\"}")
            .formatted(night.bench.wall);
    night.bench.event(
        new Event.Asked(new Request(++night.requests, request.getBytes(StandardCharsets.UTF_8))));
    return night.until("2026-01-15T00:30:00Z");
  }

  /** The daemon dies, and starts again after a while from what is on disk. */
  public RecordedNights crash(Duration down) {
    bench.restarts(down);
    bench.connect();
    return this;
  }

  /**
   * The power is cut, and the machine starts again after a while with its clock in 1970; it is put
   * right after {@code unsureSeconds}.
   */
  public RecordedNights powerCut(Duration down, int unsureSeconds) {
    Instant start = bench.wall.plus(down);
    bench.trusted = false;
    bench.reboots(down, Instant.EPOCH.plusSeconds(20));
    long booted = bench.real;
    bench.connect();
    steady(unsureSeconds, 330, 333);
    bench.wall = start.plusNanos(bench.real - booted);
    return clockTrusted(Duration.ZERO);
  }

  /** The daemon is stopped in good order, and starts again after a while. */
  public RecordedNights stop(Duration down) {
    bench.event(new Event.Stopping("asked to by the system"));
    return crash(down);
  }

  /** The disk is full, or no longer so. */
  public RecordedNights disk(boolean works) {
    bench.disk = works ? Bench.Disk.WORKS : Bench.Disk.FULL;
    return this;
  }

  /** The broker is lost, and reached again after a while. */
  public RecordedNights brokerLost(Duration away) {
    bench.event(new Event.LinkDown("no answer to a ping"));
    bench.passes(away);
    bench.connect();
    return this;
  }

  /** The wall clock jumps and is not trusted. */
  public RecordedNights clockSteps(Duration step) {
    bench.wall = bench.wall.plus(step);
    bench.trusted = false;
    bench.event(new Event.ClockChanged("the wall clock jumped by " + step.toSeconds() + " s"));
    return this;
  }

  /** The wall clock is right again. */
  public RecordedNights clockTrusted(Duration step) {
    bench.wall = bench.wall.plus(step);
    bench.trusted = true;
    bench.event(new Event.ClockChanged("the wall clock is trusted"));
    return this;
  }

  /** The program stands still. */
  public RecordedNights stalls(Duration time) {
    bench.passes(time);
    bench.event(new Event.Stalled(time.toNanos()));
    return this;
  }

  /** A keeper asks for something. */
  public RecordedNights asks(String act, String name, String text, String by) {
    requests++;
    String payload =
        "{\"act\":\"%s\",\"tank\":\"lagoon\",\"name\":\"%s\",\"text\":\"%s\",\"by\":\"%s\",\"id\":\"r%d\",\"sent\":\"%s\"}"
            .formatted(act, name, text, by, requests, bench.wall);
    bench.event(new Event.Asked(new Request(requests, payload.getBytes(StandardCharsets.UTF_8))));
    return this;
  }

  /** A keeper measures residual oxidant, mg/L as Cl2. */
  public RecordedNights measures(String milligramsPerLitre, String by) {
    requests++;
    String payload =
        "{\"act\":\"note\",\"tank\":\"lagoon\",\"residual\":\"%s mg/L\",\"as\":\"Cl2\",\"by\":\"%s\",\"id\":\"r%d\",\"sent\":\"%s\"}"
            .formatted(milligramsPerLitre, by, requests, bench.wall);
    bench.event(new Event.Asked(new Request(requests, payload.getBytes(StandardCharsets.UTF_8))));
    return this;
  }

  /** A keeper has changed carbon, on a tank that has both. */
  public RecordedNights changes(String carbon, String by) {
    requests++;
    String payload =
        "{\"act\":\"note\",\"tank\":\"lagoon\",\"carbon\":\"%s\",\"by\":\"%s\",\"id\":\"r%d\",\"sent\":\"%s\"}"
            .formatted(carbon, by, requests, bench.wall);
    bench.event(new Event.Asked(new Request(requests, payload.getBytes(StandardCharsets.UTF_8))));
    return this;
  }

  /** As {@link #RecordedNights()}, with both carbons counted. */
  public static RecordedNights withCarbon() {
    return new RecordedNights(
        Specs.with(
            Specs.lagoon(),
            new CareSpec(
                Map.of(Carbon.OFF_GAS, CarbonLife.STANDARD, Carbon.EFFLUENT, CarbonLife.STANDARD),
                new SkimmerSpec("skimmer-air", null, Map.of()))),
        Bench.WINDOW_OPENS);
  }

  /**
   * The skimmer is cleaned shortly after the noon before the night: its air goes from 4 to 5 L/min,
   * and redox, too high for a dose, from 371.5 to 381.5 mV.
   */
  public static RecordedNights skimmerCleaned() {
    RecordedNights night =
        new RecordedNights(
            Specs.with(
                Specs.lagoon(),
                new CareSpec(Map.of(), new SkimmerSpec("skimmer-air", null, Map.of()))),
            Instant.parse("2026-01-14T11:00:00Z"));
    night.now(100, 370, 4);
    night.asksSkimmer();
    night.now(60 * 24, 380, 5);
    return night;
  }

  private void asksSkimmer() {
    requests++;
    String payload =
        "{\"act\":\"note\",\"tank\":\"lagoon\",\"skimmer\":\"cleaned\",\"by\":\"Ana\",\"id\":\"s%d\",\"sent\":\"%s\"}"
            .formatted(requests, bench.wall);
    bench.event(new Event.Asked(new Request(requests, payload.getBytes(StandardCharsets.UTF_8))));
  }

  /** As {@link #odd}, with a reading three times a minute. */
  private void now(int minutes, double redox, double air) {
    bench.redox(redox, redox + 3);
    bench.says("lab/lagoon/air", Double.toString(air));
    for (int third = 0; third < 3 * minutes; third++) {
      bench.devicesAnswer();
      bench.sensorsSpeak();
      bench.passes(Duration.ofSeconds(20));
      tick();
    }
  }

  private void tick() {
    bench.event(new Event.Tick());
  }

  /** Two doses that end at the end of the band, and nothing else. */
  public static RecordedNights good() {
    return evening()
        .ramp(600, 320, 364)
        .ramp(1800, 362, 318)
        .ramp(700, 318, 364)
        .ramp(2302, 362, 341);
  }

  /** Two minutes before the window to its opening, everything steady. */
  public static RecordedNights evening() {
    return new RecordedNights().until("2026-01-15T01:28:00Z").steady(121, 320, 323);
  }

  /**
   * Air is lost and ozone comes into the room, which the keeper resets; then redox passes the
   * ceiling and stays over it until that latches.
   */
  public static RecordedNights latched() {
    return evening()
        .ramp(300, 320, 340)
        .odd(12, 340, 1.2, false)
        .foul(35, 335, 5, 150)
        .steady(600, 330, 333)
        .asks("reset", "room-ozone", "aired the room", "Ana")
        .steady(700, 330, 333)
        .steady(40, 425, 428)
        .steady(3717, 330, 333);
  }
}
