package io.github.tidewarden.cli;

import io.github.tidewarden.config.CheckJson;
import io.github.tidewarden.config.ConfigException;
import io.github.tidewarden.config.Configuration;
import io.github.tidewarden.daemon.Exit;
import java.nio.file.Path;
import picocli.CommandLine.Option;

/** A verb that tells facts of a configuration, or every complaint about it. */
abstract class FactsVerb extends Verb {
  @Option(names = "--config", required = true, paramLabel = "FILE", description = "The site.")
  @SuppressWarnings("NullAway.Init") // set by picocli
  private Path config;

  @Option(names = "--json", description = "The same facts for a machine.")
  private boolean json;

  /** The facts for a person. */
  abstract String text(Configuration configuration);

  /** The same for a machine, as one JSON object. */
  abstract String json(Configuration configuration);

  @Override
  final Exit go() throws ConfigException {
    try {
      Configuration configuration = read(config);
      out().println(json ? json(configuration) : text(configuration));
      return Exit.OK;
    } catch (ConfigException e) {
      if (json) {
        out().println(CheckJson.of(e));
      }
      throw e;
    }
  }
}
