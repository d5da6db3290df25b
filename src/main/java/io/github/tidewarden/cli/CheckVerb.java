package io.github.tidewarden.cli;

import io.github.tidewarden.config.CheckJson;
import io.github.tidewarden.config.CheckText;
import io.github.tidewarden.config.Configuration;
import java.time.Instant;
import picocli.CommandLine.Command;

/** {@code check}: every complaint about a configuration, or what it would do. */
@Command(
    name = "check",
    description = "Checks a configuration and says in plain words what each tank would be given.")
final class CheckVerb extends FactsVerb {
  @Override
  String text(Configuration configuration) {
    return CheckText.of(configuration, Instant.now());
  }

  @Override
  String json(Configuration configuration) {
    return CheckJson.of(configuration, Instant.now());
  }
}
