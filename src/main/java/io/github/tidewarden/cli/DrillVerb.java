package io.github.tidewarden.cli;

import io.github.tidewarden.config.CheckJson;
import io.github.tidewarden.config.ConfigException;
import io.github.tidewarden.config.Configuration;
import io.github.tidewarden.config.Drill;
import io.github.tidewarden.config.DrillReader;
import io.github.tidewarden.daemon.Exit;
import io.github.tidewarden.rehearsal.DrillJson;
import io.github.tidewarden.rehearsal.DrillText;
import io.github.tidewarden.rehearsal.Drilling;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import picocli.CommandLine.Command;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;

/** {@code drill}: a keeper's own cases, played in virtual time. */
@Command(
    name = "drill",
    description = {
      "Plays a keeper's own cases through a configuration: given these readings, that must trip.",
      "The tank around them is simulated: a drill that passes proves nothing about the real water."
    })
final class DrillVerb extends Verb {
  @Option(names = "--config", required = true, paramLabel = "FILE", description = "The site.")
  @SuppressWarnings("NullAway.Init") // set by picocli
  private Path config;

  @Option(names = "--json", description = "The result for a machine.")
  private boolean json;

  @Parameters(arity = "1..*", paramLabel = "DRILL", description = "Files, one drill in each.")
  @SuppressWarnings("NullAway.Init") // set by picocli
  private List<Path> files;

  @Override
  Exit go() throws ConfigException {
    Configuration configuration = configuration();
    List<Drill> drills = new ArrayList<>();
    Map<Path, ConfigException> refused = new LinkedHashMap<>();
    for (Path file : files) {
      try {
        drills.add(DrillReader.read(file, configuration));
      } catch (ConfigException e) {
        refused.put(file, e);
      }
    }
    if (!refused.isEmpty()) {
      refused.values().forEach(each -> err().println(each.getMessage()));
      if (json) {
        out().println(DrillJson.refused(refused));
      }
      return Exit.DATA;
    }
    return play(configuration, drills);
  }

  private Configuration configuration() throws ConfigException {
    try {
      return read(config);
    } catch (ConfigException e) {
      if (json) {
        out().println(CheckJson.of(e));
      }
      throw e;
    }
  }

  private Exit play(Configuration configuration, List<Drill> drills) {
    List<Drilling.Outcome> outcomes = new ArrayList<>();
    long began = System.nanoTime();
    for (Drill drill : drills) {
      long begun = System.nanoTime();
      Drilling.Outcome outcome = Drilling.of(configuration, drill);
      outcomes.add(outcome);
      if (!json) {
        out().println(DrillText.of(outcome, System.nanoTime() - begun));
        out().flush();
      }
    }
    out()
        .println(
            json
                ? DrillJson.of(configuration.site().name(), outcomes, System.nanoTime() - began)
                : DrillText.sum(outcomes));
    return outcomes.stream().allMatch(Drilling.Outcome::passed) ? Exit.OK : Exit.FAILED;
  }
}
