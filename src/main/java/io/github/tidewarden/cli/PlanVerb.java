package io.github.tidewarden.cli;

import io.github.tidewarden.config.CheckJson;
import io.github.tidewarden.config.ConfigException;
import io.github.tidewarden.config.Configuration;
import io.github.tidewarden.config.PlanJson;
import io.github.tidewarden.config.PlanText;
import io.github.tidewarden.daemon.Exit;
import java.nio.file.Path;
import picocli.CommandLine.Command;
import picocli.CommandLine.Option;

/** {@code plan}: what a configuration comes to in a week and a year. */
@Command(
    name = "plan",
    description = "Reckons each tank's water, salt and ozone: a day, a week, a bin, a year.")
final class PlanVerb extends Verb {
  @Option(names = "--config", required = true, paramLabel = "FILE", description = "The site.")
  @SuppressWarnings("NullAway.Init") // set by picocli
  private Path config;

  @Option(names = "--json", description = "The same facts for a machine.")
  private boolean json;

  @Override
  Exit go() throws ConfigException {
    try {
      Configuration configuration = read(config);
      out().print(json ? PlanJson.of(configuration) + "\n" : PlanText.of(configuration));
      return Exit.OK;
    } catch (ConfigException e) {
      if (json) {
        out().println(CheckJson.of(e));
      }
      throw e;
    }
  }
}
