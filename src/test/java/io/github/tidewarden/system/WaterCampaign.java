package io.github.tidewarden.system;

import static io.github.tidewarden.system.Rig.between;
import static io.github.tidewarden.system.WaterRig.TANK;
import static org.assertj.core.api.Assertions.assertThat;
import static org.junit.jupiter.api.DynamicTest.dynamicTest;

import io.github.tidewarden.broker.TestBroker;
import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.Kind;
import io.github.tidewarden.exchange.Exchange;
import io.github.tidewarden.rehearsal.SimulatedDevice;
import io.github.tidewarden.rehearsal.SimulatedDevice.Fault;
import java.io.IOException;
import java.io.UncheckedIOException;
import java.net.URI;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.time.Duration;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.concurrent.ExecutorService;
import java.util.concurrent.Executors;
import java.util.concurrent.Future;
import java.util.function.Function;
import java.util.stream.IntStream;
import java.util.stream.Stream;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.DynamicTest;
import org.junit.jupiter.api.TestFactory;
import org.junit.jupiter.api.TestInstance;
import org.junit.jupiter.api.parallel.Execution;
import org.junit.jupiter.api.parallel.ExecutionMode;

/**
 * Portions of water from begin to end through a real broker: the daemon killed at every record, at
 * every command and in every rest of a portion of each kind, the broker lost in each phase, and
 * devices that fail. A story takes 10 to 30 minutes, for the rests are what they always are; many
 * pass at once, each with a daemon of its own. It runs on request only, see DEVELOPERS.md.
 */
@Execution(ExecutionMode.CONCURRENT)
@TestInstance(TestInstance.Lifecycle.PER_CLASS)
abstract class WaterCampaign {
  private static final int AT_ONCE = 24;

  /** Only stories whose name contains this. */
  private static final String ONLY = System.getProperty("tidewarden.story", "");

  /** After one that was cut off another one still stays under the limit of out and in, 1 L. */
  private static final double PORTION = 0.36;

  private static final Duration PATIENCE = Duration.ofMinutes(40);
  private static final Duration SECOND = Duration.ofSeconds(1);
  private static final Duration BOUND =
      Duration.ofSeconds(WaterFile.LEASE_SECONDS + WaterFile.EXPIRY_SECONDS + 1);

  private final ExecutorService pool = Executors.newFixedThreadPool(AT_ONCE);
  private final Path figures =
      Path.of("target", "water-campaign-" + getClass().getSimpleName() + ".txt");
  private final Object starts = new Object();
  private TestBroker broker;
  private URI uri;

  /** A broker that is not started yet. */
  abstract TestBroker newBroker();

  /**
   * A moment of a portion.
   *
   * @param what see {@link WaterRig}
   * @param nth for the how-manieth time that happens
   * @param later so much after it
   */
  private record Moment(String what, int nth, Duration later) {
    void await(WaterRig rig) {
      rig.awaitEvent(TANK, what, nth, PATIENCE);
      Rig.letPass(later);
    }

    @Override
    public String toString() {
      String seconds = later.isZero() ? "" : " + " + later.toSeconds() + " s";
      return what + " " + nth + seconds;
    }
  }

  private interface Told {
    void tell(WaterRig rig);
  }

  @BeforeAll
  void startBroker() throws IOException {
    Files.createDirectories(figures.getParent());
    Files.writeString(
        figures,
        "story | s | portions drained filled [latches] starts, holds | out L | in L | topped off L | lowest, highest, last mm | PSU\n");
    broker = newBroker();
    uri = broker.start();
  }

  @AfterAll
  void closeBroker() {
    pool.shutdownNow();
    broker.close();
  }

  @TestFactory
  Stream<DynamicTest> campaign() {
    Map<String, Runnable> stories = new LinkedHashMap<>();
    stories.put("killed at every record in turn", this::killedInTurn);
    devices(stories);
    brokerLost(stories);
    List<Moment> moments = momentsOfPortions();
    for (int i = 0; i < moments.size(); i++) {
      kill(stories, false, moments.get(i), i);
    }
    List<Moment> paired = momentsOfPairs();
    for (int i = 0; i < paired.size(); i++) {
      kill(stories, true, paired.get(i), i);
    }
    stories.keySet().removeIf(name -> !name.contains(ONLY));
    Map<String, Future<?>> running = new LinkedHashMap<>();
    stories.forEach((name, story) -> running.put(name, pool.submit(story)));
    return running.entrySet().stream().map(e -> dynamicTest(e.getKey(), () -> e.getValue().get()));
  }

  // Killed.

  private static List<Moment> momentsOfPortions() {
    List<Moment> moments = new ArrayList<>();
    for (String record : List.of("exchanged", "portion", "drained", "filled")) {
      moments.add(new Moment(record, 1, Duration.ZERO));
    }
    for (String pump : List.of("drain", "fill")) {
      moments.add(new Moment(pump + " on", 1, Duration.ZERO));
      IntStream.rangeClosed(1, 12)
          .forEach(nth -> moments.add(new Moment(pump + " renewed", nth, Duration.ZERO)));
      for (int later : new int[] {0, 1, 10, 60, 100}) {
        moments.add(new Moment(pump + " off", 1, Duration.ofSeconds(later)));
      }
    }
    return moments;
  }

  private static List<Moment> momentsOfPairs() {
    List<Moment> moments = new ArrayList<>();
    for (String what : List.of("portion", "filled", "drain on", "fill on")) {
      moments.add(new Moment(what, 1, Duration.ZERO));
    }
    for (int nth = 1; nth <= 12; nth++) {
      moments.add(new Moment((nth % 2 == 0 ? "drain" : "fill") + " renewed", nth, Duration.ZERO));
    }
    for (int later : new int[] {0, 1, 10, 60}) {
      moments.add(new Moment("fill off", 1, Duration.ofSeconds(later)));
    }
    return moments;
  }

  /**
   * Each third time the daemon comes back only after 20 s, while top-off is still held; each fifth
   * time two portions are due.
   */
  private void kill(Map<String, Runnable> stories, boolean paired, Moment moment, int index) {
    Duration away = index % 3 == 2 ? Duration.ofSeconds(20) : Duration.ZERO;
    int portions = index % 5 == 4 ? 2 : 1;
    String name =
        (paired ? "paired" : "portions")
            + " "
            + portions
            + ", killed at "
            + moment
            + (away.isZero() ? "" : ", away for 20 s");
    WaterFile file =
        paired
            ? new WaterFile().pairedTank(TANK, PORTION, portions)
            : new WaterFile().tank(TANK, PORTION, portions);
    stories.put(name, () -> with(name, uri, file, rig -> kill(rig, moment, away)));
  }

  private void kill(WaterRig rig, Moment moment, Duration away) {
    DaemonProcess daemon = begin(rig);
    moment.await(rig);
    long killed = daemon.kill();
    for (Function<WaterTank, SimulatedDevice> pump : pumps()) {
      if (rig.water.<Boolean>ask(TANK, tank -> !pump.apply(tank).switches().isEmpty())) {
        assertThat(between(killed, rig.awaitRest(TANK, pump))).isLessThanOrEqualTo(BOUND);
      }
    }
    Rig.letPass(away);
    rig.start();
    long started = System.nanoTime();
    finish(rig);
    // Where all was done before, silence itself is what is tested: until a portion could begin.
    Rig.letPass(WaterRig.TO_FIRST_PORTION.minus(between(started, System.nanoTime())));
    new WaterJudge(rig, TANK).judge();
    assertThat(rig.latches(TANK)).isEmpty();
  }

  private static List<Function<WaterTank, SimulatedDevice>> pumps() {
    return List.of(tank -> tank.drain, tank -> tank.fill);
  }

  /** Waits until so little is left of the night's share that none more is begun. */
  private static void finish(WaterRig rig) {
    WaterFile.Tank tank = rig.file.tank(TANK);
    double left = tank.portions() * tank.portionLitres();
    for (int nth = 1; left >= Exchange.SMALLEST_SHARE * tank.portionLitres(); nth++) {
      rig.awaitEvent(TANK, "filled", nth, PATIENCE);
      AuditRecord filled = rig.records(TANK, Kind.FILLED).get(nth - 1);
      left -= new WaterJudge(rig, TANK).counted(filled);
    }
    new WaterJudge(rig, TANK).judge().neverToppedOffInAPortion().allIsDone();
  }

  /** Three times in one night: a third start in one portion would wait for the keeper. */
  private void killedInTurn() {
    String name = "killed at every record in turn";
    with(
        name,
        uri,
        new WaterFile().tank(TANK, PORTION, 1),
        rig -> {
          DaemonProcess daemon = begin(rig);
          // After a shorter run of the drain nothing would have to come in again.
          for (Moment moment :
              List.of(
                  new Moment("drain renewed", 4, Duration.ZERO),
                  new Moment("fill renewed", 1, Duration.ZERO),
                  new Moment("filled", 1, Duration.ZERO))) {
            moment.await(rig);
            daemon.kill();
            daemon = rig.start();
            Rig.letPass(Duration.ofSeconds(30));
          }
          finish(rig);
          assertThat(rig.latches(TANK)).isEmpty();
        });
  }

  // The broker goes.

  private void brokerLost(Map<String, Runnable> stories) {
    List<Moment> moments =
        List.of(
            new Moment("drain renewed", 5, Duration.ZERO),
            new Moment("drain off", 1, Duration.ofSeconds(30)),
            new Moment("fill renewed", 5, Duration.ZERO),
            new Moment("fill off", 1, Duration.ofSeconds(30)));
    for (Moment moment : moments) {
      loseBroker(stories, new WaterFile().tank(TANK, PORTION, 2), "portions", moment);
    }
    WaterFile paired = new WaterFile().pairedTank(TANK, PORTION, 2);
    loseBroker(stories, paired, "paired", moments.get(0));
  }

  private void loseBroker(
      Map<String, Runnable> stories, WaterFile file, String kind, Moment moment) {
    String name = kind + " 2, broker lost for 15 s at " + moment;
    stories.put(
        name,
        () -> {
          try (TestBroker own = newBroker()) {
            with(name, own.start(), file, rig -> loseBroker(rig, own, moment));
          }
        });
  }

  private void loseBroker(WaterRig rig, TestBroker own, Moment moment) {
    begin(rig);
    moment.await(rig);
    long lost = System.nanoTime();
    own.kill();
    for (Function<WaterTank, SimulatedDevice> pump : pumps()) {
      if (rig.water.<Boolean>ask(TANK, tank -> !pump.apply(tank).switches().isEmpty())) {
        assertThat(between(lost, rig.awaitRest(TANK, pump))).isLessThanOrEqualTo(BOUND);
      }
    }
    Rig.letPass(Duration.ofNanos(lost + 15_000_000_000L - System.nanoTime()));
    own.start();
    finish(rig);
    assertThat(rig.latches(TANK)).isEmpty();
  }

  // Devices fail.

  private void devices(Map<String, Runnable> stories) {
    device(stories, "fill pump moves nothing", WaterCampaign::fillDry);
    device(stories, "drain pump sticks for a while", WaterCampaign::drainSticks);
    device(stories, "fill pump sticks for a while", WaterCampaign::fillSticks);
    for (String pump : List.of("drain", "fill")) {
      Moment moment = new Moment(pump + " renewed", 3, Duration.ZERO);
      device(stories, "level silent for 30 s at " + moment, rig -> silent(rig, moment));
      device(stories, "return stops for 60 s at " + moment, rig -> returnStops(rig, moment));
    }
  }

  private void device(Map<String, Runnable> stories, String name, Told told) {
    WaterFile file = new WaterFile().tank(TANK, PORTION, 1);
    stories.put(
        name,
        () ->
            with(
                name,
                uri,
                file,
                rig -> {
                  begin(rig);
                  told.tell(rig);
                }));
  }

  private static void fillDry(WaterRig rig) {
    rig.water.change(TANK, tank -> tank.fillLitresPerMinute = 0);
    rig.awaitEvent(TANK, "trip", 1, PATIENCE);
    assertThat(rig.latches(TANK)).containsExactly("fill-dry");
    new WaterJudge(rig, TANK).judge().neverToppedOffInAPortion();
  }

  private static void drainSticks(WaterRig rig) {
    rig.awaitEvent(TANK, "drain renewed", 1, PATIENCE);
    rig.water.change(TANK, tank -> tank.drain.fault(Fault.WELDED, true));
    rig.awaitEvent(TANK, "drain off", 1, PATIENCE);
    Rig.letPass(Duration.ofSeconds(30));
    rig.water.comesLoose(TANK, tank -> tank.drain);
    rig.awaitEvent(TANK, "trip", 1, PATIENCE);
    assertThat(rig.latches(TANK)).containsExactly("drain-runs-on");
    assertThat(rig.count(TANK, "fill on")).isZero();
    new WaterJudge(rig, TANK).levelInRange().neverToppedOffInAPortion();
  }

  private static void fillSticks(WaterRig rig) {
    rig.awaitEvent(TANK, "fill renewed", 1, PATIENCE);
    rig.water.change(TANK, tank -> tank.fill.fault(Fault.WELDED, true));
    rig.awaitEvent(TANK, "fill off", 1, PATIENCE);
    Rig.letPass(Duration.ofSeconds(40));
    rig.water.comesLoose(TANK, tank -> tank.fill);
    rig.awaitEvent(TANK, "trip", 1, PATIENCE);
    assertThat(rig.latches(TANK)).containsExactly("fill-runs-on");
    assertThat(rig.count(TANK, "drain on")).isEqualTo(1);
    new WaterJudge(rig, TANK).levelInRange().neverToppedOffInAPortion();
  }

  private static void silent(WaterRig rig, Moment moment) {
    moment.await(rig);
    long silent = rig.water.change(TANK, tank -> tank.levelSpeaks = false);
    Duration bound = Duration.ofSeconds(WaterFile.LEVEL_STALE_SECONDS).plus(SECOND.multipliedBy(2));
    for (Function<WaterTank, SimulatedDevice> pump : pumps()) {
      if (rig.water.<Boolean>ask(TANK, tank -> pump.apply(tank).on())) {
        assertThat(between(silent, rig.awaitRest(TANK, pump))).isLessThanOrEqualTo(bound);
      }
    }
    Rig.letPass(Duration.ofSeconds(30));
    rig.water.change(TANK, tank -> tank.levelSpeaks = true);
    finish(rig);
    assertThat(rig.latches(TANK)).isEmpty();
  }

  private static void returnStops(WaterRig rig, Moment moment) {
    moment.await(rig);
    long stopped = rig.water.change(TANK, tank -> tank.returnRuns = false);
    for (Function<WaterTank, SimulatedDevice> pump : pumps()) {
      if (rig.water.<Boolean>ask(TANK, tank -> pump.apply(tank).on())) {
        assertThat(between(stopped, rig.awaitRest(TANK, pump))).isLessThan(Duration.ofSeconds(2));
      }
    }
    Rig.letPass(Duration.ofSeconds(60));
    rig.water.change(TANK, tank -> tank.returnRuns = true);
    finish(rig);
    assertThat(rig.latches(TANK)).isEmpty();
  }

  // What all of it shares.

  /** One start after the other: many at once would take each other's time. */
  private DaemonProcess begin(WaterRig rig) {
    synchronized (starts) {
      DaemonProcess daemon = rig.start();
      rig.water.confirmNewWater(TANK);
      return daemon;
    }
  }

  private void with(String name, URI at, WaterFile file, Told told) {
    try (WaterRig rig = new WaterRig(at, file)) {
      long began = System.nanoTime();
      try {
        told.tell(rig);
      } finally {
        note(name, between(began, System.nanoTime()), rig);
      }
    }
  }

  private synchronized void note(String name, Duration took, WaterRig rig) {
    List<WaterTank.Sample> samples = rig.water.ask(TANK, WaterTank::samples);
    WaterTank.Sample last = samples.get(samples.size() - 1);
    String line =
        String.format(
            Locale.ROOT,
            "%s | %d | %d %d %d %s %d, %d | %.3f | %.3f | %.3f | %.1f %.1f %.1f | %.2f%n",
            name,
            took.toSeconds(),
            rig.records(TANK, Kind.PORTION).size(),
            rig.records(TANK, Kind.DRAINED).size(),
            rig.records(TANK, Kind.FILLED).size(),
            rig.latches(TANK),
            rig.count("", "start"),
            rig.water.<Integer>ask(TANK, tank -> tank.hold.switches().size()),
            last.outLitres(),
            last.inLitres(),
            last.toppedLitres(),
            samples.stream().mapToDouble(WaterTank.Sample::millimetres).min().orElseThrow(),
            samples.stream().mapToDouble(WaterTank.Sample::millimetres).max().orElseThrow(),
            last.millimetres(),
            rig.water.<Double>ask(TANK, WaterTank::psu));
    try {
      Files.writeString(figures, line, StandardOpenOption.APPEND);
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
  }
}
