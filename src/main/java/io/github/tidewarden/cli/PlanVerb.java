package io.github.tidewarden.cli;

import io.github.tidewarden.config.Configuration;
import io.github.tidewarden.config.PlanJson;
import io.github.tidewarden.config.PlanText;
import picocli.CommandLine.Command;

/** {@code plan}: what a configuration comes to in a week and a year. */
@Command(
    name = "plan",
    description = "Reckons each tank's water, salt and ozone: a day, a week, a bin, a year.")
final class PlanVerb extends FactsVerb {
  @Override
  String text(Configuration configuration) {
    return PlanText.of(configuration);
  }

  @Override
  String json(Configuration configuration) {
    return PlanJson.of(configuration);
  }
}
