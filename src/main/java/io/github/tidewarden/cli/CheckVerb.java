package io.github.tidewarden.cli;

import io.github.tidewarden.config.CheckJson;
import io.github.tidewarden.config.CheckText;
import io.github.tidewarden.config.ConfigException;
import io.github.tidewarden.config.Configuration;
import io.github.tidewarden.daemon.Exit;
import java.nio.file.Path;
import java.time.Instant;
import picocli.CommandLine.Command;
import picocli.CommandLine.Option;

/** {@code check}: every complaint about a configuration, or what it would do. */
@Command(
    name = "check",
    description = "Checks a configuration and says in plain words what each tank would be given.")
final class CheckVerb extends Verb {
  @Option(names = "--config", required = true, paramLabel = "FILE", description = "The site.")
  @SuppressWarnings("NullAway.Init") // set by picocli
  private Path config;

  @Option(names = "--json", description = "The same facts for a machine.")
  private boolean json;

  @Override
  Exit go() throws ConfigException {
    try {
      Configuration configuration = read(config);
      Instant now = Instant.now();
      out().println(json ? CheckJson.of(configuration, now) : CheckText.of(configuration, now));
      return Exit.OK;
    } catch (ConfigException e) {
      if (json) {
        out().println(CheckJson.of(e));
      }
      throw e;
    }
  }
}
