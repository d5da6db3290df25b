package io.github.tidewarden.cli;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import io.github.tidewarden.audit.AuditVerifier;
import io.github.tidewarden.audit.DirectoryFiles;
import io.github.tidewarden.config.Configuration;
import io.github.tidewarden.control.AuditRecord;
import io.github.tidewarden.control.Kind;
import io.github.tidewarden.control.TankSpec;
import io.github.tidewarden.daemon.Daemon;
import io.github.tidewarden.daemon.Exit;
import io.github.tidewarden.daemon.Watcher;
import io.github.tidewarden.gate.Command;
import io.github.tidewarden.rehearsal.SimulatedSite;
import io.github.tidewarden.rehearsal.TankModel;
import io.github.tidewarden.sensing.Measure;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Objects;
import java.util.Optional;
import java.util.concurrent.TimeUnit;
import java.util.function.Predicate;

/**
 * The play: the real daemon and a simulated tank on one broker. A dose that ends at the band,
 * skimmer air lost while dosing, a latched trip and its reset, then the review. Each scene waits
 * for what really happens, and fails when it does not.
 */
final class Demo {
  private static final String TANK = "lagoon";
  private static final String KEEPER = "Ines";
  private static final long SEED = 7;
  private static final double SPEED = 60;
  private static final Duration READINGS = Duration.ofMillis(500);
  private static final Duration PATIENCE = Duration.ofSeconds(60);
  private static final ObjectMapper JSON = new ObjectMapper();

  private final Configuration configuration;
  private final Stage stage;
  private final TankSpec tank;
  private final List<AuditRecord> seen = new ArrayList<>();

  Demo(Configuration configuration, Stage stage) {
    this.configuration = configuration;
    this.stage = stage;
    tank = configuration.site().tanks().get(0);
  }

  Exit play() throws Exception {
    stage.title("Tidewarden: one night of ozone in two minutes");
    stage.says("The daemon is the real one; the tank, its probes and its generator are simulated,");
    stage.says("with water that answers sixty times faster than a tank does.");
    stage.says("Ozone harms people and animals. Read SAFETY.md before you connect anything.");
    TankModel model =
        TankModel.typical(Objects.requireNonNull(tank.ozone()).ratedMilligramsPerHour())
            .atSpeed(SPEED);
    try (SimulatedSite site =
        new SimulatedSite(
            configuration.broker().url(), List.of(tank), spec -> model, SEED, READINGS)) {
      site.start();
      Daemon daemon = Daemon.start(configuration, new Audience());
      boolean told = false;
      try {
        scenes(site);
        told = true;
      } finally {
        daemon.stop(told ? "the demo is over" : "the demo broke off", Exit.OK);
      }
    } catch (StoryException e) {
      stage.page("The demo did not go as it should: " + e.getMessage());
      return Exit.SOFTWARE;
    }
    return epilogue();
  }

  private void scenes(SimulatedSite site) throws Exception {
    stage.title("A dose that ends at the band");
    awaits(site, "a run", record -> record.kind() == Kind.RUN);
    awaits(site, "the end of the band", record -> record.kind() == Kind.REST);

    stage.title("Skimmer air lost while dosing");
    stage.says("The redox falls again as organics use up the oxidant; then a second dose begins.");
    awaits(site, "a second run", record -> record.kind() == Kind.RUN);
    pause(site, 4);
    stage.says("Now somebody pulls the plug of the skimmer's air pump, and of the return pump.");
    site.act(rig -> rig.tank(TANK).tank().airLost(true));
    pause(site, 1);
    site.act(rig -> rig.tank(TANK).tank().set(Measure.RUNNING, 0));
    awaits(site, "the trip", record -> named(record, Kind.TRIP, "air-lost"));
    awaits(site, "its consequence", record -> named(record, Kind.TRIP, "circulation-lost"));
    awaits(site, "the latch", record -> named(record, Kind.LATCHED, "air-lost"));

    stage.title("A latched trip and its reset");
    stage.says(KEEPER + " asks for a reset before the air is back:");
    ask(Map.of("act", "reset", "name", "air-lost", "text", ""), false);
    pause(site, 1);
    stage.says("The plugs go in again.");
    site.act(rig -> rig.tank(TANK).tank().airLost(false));
    site.act(rig -> rig.tank(TANK).tank().set(Measure.RUNNING, 1));
    awaits(site, "the air", record -> named(record, Kind.CLEARED, "air-lost"));
    pause(site, 2);
    ask(Map.of("act", "reset", "name", "air-lost", "text", "the plug had come out"), true);
    ask(Map.of("act", "note", "text", "both plugs taped"), true);
    pause(site, 2);
  }

  private Exit epilogue() throws Exception {
    stage.title("What the keeper reads next morning");
    stage.page(ReviewVerb.of(configuration, null).text());
    AuditVerifier.Verdict verdict =
        AuditVerifier.verify(new DirectoryFiles(configuration.stateDir().resolve("audit")), null);
    stage.page(
        verdict.isGood()
            ? String.format(
                Locale.ROOT, "The audit's chain of %d records is whole.", verdict.records())
            : "The audit is bad: " + verdict.firstBad());
    return verdict.isGood() ? Exit.OK : Exit.DATA;
  }

  private void ask(Map<String, String> act, boolean expected) throws Exception {
    Optional<byte[]> answer = ActVerb.ask(configuration, ActVerb.request(TANK, KEEPER, act));
    JsonNode told = JSON.readTree(answer.orElseThrow(() -> new StoryException("no answer")));
    boolean done = told.path("done").asBoolean();
    if (done != expected) {
      throw new StoryException(
          (done ? "this was done: " : "this was refused: ") + told.path("what").asText());
    }
  }

  private static boolean named(AuditRecord record, Kind kind, String name) {
    return record.kind() == kind && name.equals(record.fields().get("name"));
  }

  private void awaits(SimulatedSite site, String what, Predicate<AuditRecord> wanted)
      throws Exception {
    long deadline = System.nanoTime() + PATIENCE.toNanos();
    while (System.nanoTime() - deadline < 0) {
      synchronized (seen) {
        while (!seen.isEmpty()) {
          if (wanted.test(seen.remove(0))) {
            return;
          }
        }
      }
      tick(site, "waiting for " + what);
    }
    throw new StoryException("waited " + PATIENCE.toSeconds() + " s for " + what);
  }

  private void pause(SimulatedSite site, int seconds) throws InterruptedException {
    for (int quarters = 0; quarters < 4 * seconds; quarters++) {
      tick(site, "");
    }
  }

  private void tick(SimulatedSite site, String what) throws InterruptedException {
    double redox = site.ask(rig -> rig.tank(TANK).tank().waterRedoxMillivolts());
    boolean on = site.ask(rig -> rig.tank(TANK).device("generator").on());
    int bar = (int) Math.max(0, Math.min(30, (redox - 310) / 3));
    stage.progress(
        String.format(
            Locale.ROOT,
            "  redox (ORP) %5.1f mV [%-30s] generator %s  %s",
            redox,
            "=".repeat(bar),
            on ? "on " : "off",
            what));
    TimeUnit.MILLISECONDS.sleep(250);
  }

  /** Shows every record and keeps it for the scene that waits for it. */
  private final class Audience implements Watcher {
    @Override
    public void record(AuditRecord record) {
      stage.record(record);
      synchronized (seen) {
        seen.add(record);
      }
    }

    @Override
    public void command(Command command) {
      stage.command(command);
    }
  }

  /** The play did not go as written. */
  private static final class StoryException extends Exception {
    private static final long serialVersionUID = 1L;

    StoryException(String message) {
      super(message);
    }
  }
}
