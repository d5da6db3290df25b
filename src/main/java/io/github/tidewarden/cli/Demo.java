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
import io.github.tidewarden.dosing.OzoneSpec;
import io.github.tidewarden.gate.Command;
import io.github.tidewarden.rehearsal.SimulatedSite;
import io.github.tidewarden.rehearsal.SiteRig;
import io.github.tidewarden.rehearsal.TankModel;
import io.github.tidewarden.sensing.Measure;
import java.time.Duration;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.concurrent.TimeUnit;
import java.util.function.Predicate;

/**
 * The play: the real daemon and two simulated tanks on one broker. A dose that ends at the band,
 * skimmer air lost while dosing, a latched trip and its reset, beside it a portion of water out and
 * in, then the review. Each scene waits for what really happens, and fails when it does not.
 */
final class Demo {
  private static final String LAGOON = "lagoon";
  private static final String NURSERY = "nursery";
  private static final String KEEPER = "Ines";
  private static final long SEED = 7;
  private static final double SPEED = 60;
  private static final Duration READINGS = Duration.ofMillis(500);
  private static final Duration PATIENCE = Duration.ofSeconds(60);

  /** No pump runs for 160 s after a start, and a portion is judged after 90 s of rest. */
  private static final Duration WATER_PATIENCE = Duration.ofSeconds(240);

  private static final ObjectMapper JSON = new ObjectMapper();

  private final Configuration configuration;
  private final Stage stage;
  private final List<TankSpec> tanks;
  private final Map<String, List<AuditRecord>> seen = new HashMap<>();

  Demo(Configuration configuration, Stage stage) {
    this.configuration = configuration;
    this.stage = stage;
    tanks = configuration.site().tanks();
  }

  Exit play() throws Exception {
    stage.title("Tidewarden: a night of ozone and an exchange of water, in under five minutes");
    stage.says("The daemon is the real one; the tanks, their probes, generator and pumps are");
    stage.says("simulated. The redox of the water answers sixty times faster than in a tank;");
    stage.says("pumps and levels take the time that they take.");
    stage.says("Ozone harms people and animals, and pumps can flood a house. Read SAFETY.md");
    stage.says("before you connect anything.");
    try (SimulatedSite site =
        new SimulatedSite(configuration.broker().url(), tanks, Demo::model, SEED, READINGS)) {
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

  private static TankModel model(TankSpec tank) {
    OzoneSpec ozone = tank.ozone();
    return ozone != null
        ? TankModel.typical(ozone.ratedMilligramsPerHour()).atSpeed(SPEED)
        : TankModel.typical(1)
            .withSteady(Measure.LEVEL, 110, 0.2)
            .withSteady(Measure.VOLUME, 25, 0.01);
  }

  private void scenes(SimulatedSite site) throws Exception {
    newWater(site);
    ozone(site);
    exchange(site);
  }

  private void newWater(SimulatedSite site) throws Exception {
    stage.title("New water is confirmed");
    stage.says("The nursery is to exchange 1.8 L a day, 0.2 L at a time. No pump moves before a");
    stage.says("keeper has measured the new water and says so.");
    awaits(site, NURSERY, "the bin", Demo::binIsKnown, PATIENCE);
    pause(site, 1);
    ask(
        NURSERY,
        Map.of(
            "act",
            "batch",
            "salinity",
            "35.1 PSU",
            "temperature",
            "24.8 Cel",
            "mixed-for",
            "6 h",
            "text",
            ""),
        true);
    stage.says(
        "No pump runs in the first 160 s after a start, since what ran before it could still");
    stage.says("run. Meanwhile the lagoon gets its ozone.");
  }

  private static boolean binIsKnown(AuditRecord record) {
    return record.kind() == Kind.QUALITY
        && "new-water".equals(record.fields().get("signal"))
        && "good".equals(record.fields().get("quality"));
  }

  private void exchange(SimulatedSite site) throws Exception {
    stage.title("An exchange of water");
    stage.says(
        "A portion of the nursery's water, once the 160 s are over: two equal pump heads, out");
    stage.says("and in at once for a quarter of a minute. Then the level rests for a minute and a");
    stage.says("half, and says whether out and in were the same; the bin says how much it was.");
    awaits(site, NURSERY, "a portion", record -> record.kind() == Kind.PORTION, WATER_PATIENCE);
    awaits(site, NURSERY, "its judgement", record -> record.kind() == Kind.FILLED, WATER_PATIENCE);
    pause(site, 1);
  }

  private void ozone(SimulatedSite site) throws Exception {
    stage.title("A dose that ends at the band");
    awaits(site, "a run", record -> record.kind() == Kind.RUN);
    awaits(site, "the end of the band", record -> record.kind() == Kind.REST);

    stage.title("Skimmer air lost while dosing");
    stage.says("The redox falls again as organics use up the oxidant; then a second dose begins.");
    awaits(site, "a second run", record -> record.kind() == Kind.RUN);
    pause(site, 4);
    stage.says("Now somebody pulls the plug of the skimmer's air pump, and of the return pump.");
    site.act(rig -> rig.tank(LAGOON).tank().airLost(true));
    pause(site, 1);
    site.act(rig -> rig.tank(LAGOON).tank().set(Measure.RUNNING, 0));
    awaits(site, "the trip", record -> named(record, Kind.TRIP, "air-lost"));
    awaits(site, "its consequence", record -> named(record, Kind.TRIP, "circulation-lost"));
    awaits(site, "the latch", record -> named(record, Kind.LATCHED, "air-lost"));

    stage.title("A latched trip and its reset");
    stage.says(KEEPER + " asks for a reset before the air is back:");
    ask(LAGOON, Map.of("act", "reset", "name", "air-lost", "text", ""), false);
    pause(site, 1);
    stage.says("The plugs go in again.");
    site.act(rig -> rig.tank(LAGOON).tank().airLost(false));
    site.act(rig -> rig.tank(LAGOON).tank().set(Measure.RUNNING, 1));
    awaits(site, "the air", record -> named(record, Kind.CLEARED, "air-lost"));
    pause(site, 2);
    ask(LAGOON, Map.of("act", "reset", "name", "air-lost", "text", "the plug had come out"), true);
    ask(LAGOON, Map.of("act", "note", "text", "both plugs taped"), true);
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

  private void ask(String tank, Map<String, String> act, boolean expected) throws Exception {
    Optional<byte[]> answer = ActVerb.ask(configuration, ActVerb.request(tank, KEEPER, act));
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
    awaits(site, LAGOON, what, wanted, PATIENCE);
  }

  private void awaits(
      SimulatedSite site,
      String tank,
      String what,
      Predicate<AuditRecord> wanted,
      Duration patience)
      throws Exception {
    long deadline = System.nanoTime() + patience.toNanos();
    while (System.nanoTime() - deadline < 0) {
      synchronized (seen) {
        List<AuditRecord> ofTank = seen.computeIfAbsent(tank, name -> new ArrayList<>());
        while (!ofTank.isEmpty()) {
          if (wanted.test(ofTank.remove(0))) {
            return;
          }
        }
      }
      tick(site, "waiting for " + what);
    }
    throw new StoryException("waited " + patience.toSeconds() + " s for " + what);
  }

  private void pause(SimulatedSite site, int seconds) throws InterruptedException {
    for (int quarters = 0; quarters < 4 * seconds; quarters++) {
      tick(site, "");
    }
  }

  private void tick(SimulatedSite site, String what) throws InterruptedException {
    stage.progress(site.ask(Demo::stands) + what);
    TimeUnit.MILLISECONDS.sleep(250);
  }

  private static String stands(SiteRig rig) {
    double redox = rig.tank(LAGOON).tank().waterRedoxMillivolts();
    int bar = (int) Math.max(0, Math.min(18, (redox - 310) / 5));
    return String.format(
        Locale.ROOT,
        "  redox (ORP) %3.0f mV [%-18s] ozone %s | pumps %s, bin %5.2f L | ",
        redox,
        "=".repeat(bar),
        told(rig.tank(LAGOON).device("generator").on()),
        told(rig.tank(NURSERY).device("drain").on() || rig.tank(NURSERY).device("fill").on()),
        rig.tank(NURSERY).tank().value(Measure.VOLUME));
  }

  private static String told(boolean on) {
    return on ? "on " : "off";
  }

  /** Shows every record and keeps it for the scene that waits for it. */
  private final class Audience implements Watcher {
    @Override
    public void record(AuditRecord record) {
      stage.record(record);
      synchronized (seen) {
        seen.computeIfAbsent(record.tank(), tank -> new ArrayList<>()).add(record);
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
