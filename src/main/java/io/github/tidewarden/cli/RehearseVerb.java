package io.github.tidewarden.cli;

import io.github.tidewarden.config.Configuration;
import io.github.tidewarden.config.TankModelReader;
import io.github.tidewarden.control.SiteSpec;
import io.github.tidewarden.daemon.Exit;
import io.github.tidewarden.rehearsal.KeepersTanks;
import io.github.tidewarden.rehearsal.Rehearsal;
import io.github.tidewarden.rehearsal.RehearsalJson;
import io.github.tidewarden.rehearsal.RehearsalPage;
import io.github.tidewarden.rehearsal.RehearsalText;
import io.github.tidewarden.rehearsal.TankModels;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.time.LocalDate;
import java.util.Locale;
import org.jspecify.annotations.Nullable;
import picocli.CommandLine.Command;
import picocli.CommandLine.Option;

/** {@code rehearse}: nights of a configuration on simulated tanks, in virtual time. */
@Command(
    name = "rehearse",
    description = {
      "Lives through nights of a configuration on simulated tanks, in a fraction of their time.",
      "The tanks are typical ones unless --tank-model describes yours: read what it says as a"
          + " first answer, and no proof."
    })
final class RehearseVerb extends Verb {
  private static final int MOST_NIGHTS = 10_000;
  private static final Duration READINGS = Duration.ofSeconds(5);

  @Option(names = "--config", required = true, paramLabel = "FILE", description = "The site.")
  @SuppressWarnings("NullAway.Init") // set by picocli
  private Path config;

  @Option(
      names = "--nights",
      required = true,
      paramLabel = "N",
      description = "How many, 1 to 10000.")
  private int nights;

  @Option(names = "--seed", paramLabel = "S", description = "The same seed gives the same nights.")
  private long seed = 1;

  @Option(
      names = "--from",
      paramLabel = "DATE",
      description = "The first night; 2026-01-01 without it.")
  private LocalDate from = LocalDate.of(2026, 1, 1);

  @Option(
      names = "--faults",
      description = "Every other night, from the first on, has three or more faults.")
  private boolean faults;

  @Option(
      names = "--tank-model",
      paramLabel = "FILE",
      description = "What your tanks are like, in YAML; typical where it says nothing.")
  private @Nullable Path tankModel;

  @Option(names = "--json", description = "The result for a machine.")
  private boolean json;

  @Option(names = "--html", paramLabel = "OUT", description = "Also a picture of the nights.")
  private @Nullable Path html;

  @Override
  Exit go() throws Exception {
    if (nights < 1 || nights > MOST_NIGHTS) {
      throw new picocli.CommandLine.ParameterException(
          spec.commandLine(), "--nights " + nights + " is not between 1 and " + MOST_NIGHTS);
    }
    OutFile.check("--html", html);
    Configuration configuration = read(config);
    SiteSpec site = configuration.site();
    TankModels models =
        tankModel == null
            ? new KeepersTanks()
            : new KeepersTanks(TankModelReader.read(tankModel, configuration));
    long began = System.nanoTime();
    Rehearsal.Task task =
        new Rehearsal.Task(site, site, models, from, nights, seed, READINGS, READINGS, faults);
    Rehearsal.Outcome outcome = Rehearsal.of(task, done -> progress(done, began));
    long took = System.nanoTime() - began;
    String again = again();
    out()
        .println(
            json
                ? RehearsalJson.of(task, outcome, took, again)
                : RehearsalText.of(task, outcome, took, again));
    if (html != null) {
      Files.writeString(html, RehearsalPage.of(task, outcome, took, again));
    }
    return outcome.broken().isEmpty() ? Exit.OK : Exit.FAILED;
  }

  private String again() {
    return "java -jar tidewarden.jar rehearse --config "
        + config
        + " --nights "
        + nights
        + " --seed "
        + seed
        + " --from "
        + from
        + (faults ? " --faults" : "")
        + (tankModel == null ? "" : " --tank-model " + tankModel);
  }

  private void progress(int done, long began) {
    double seconds = (System.nanoTime() - began) / 1e9;
    err()
        .printf(
            Locale.ROOT,
            "\r%d of %d nights, %.1f a second, %.0f s left  ",
            done,
            nights,
            done / seconds,
            (nights - done) * seconds / done);
    if (done == nights) {
      err().print("\r" + " ".repeat(60) + "\r");
    }
    err().flush();
  }
}
