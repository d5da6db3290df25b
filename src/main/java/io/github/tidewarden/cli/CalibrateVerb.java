package io.github.tidewarden.cli;

import java.util.List;
import java.util.Map;
import picocli.CommandLine.Command;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;

/** {@code calibrate pump}: what a pump really moves. */
@Command(
    name = "calibrate",
    description = "Tells the daemon what was measured.",
    subcommands = CalibrateVerb.Pump.class,
    synopsisSubcommandLabel = "WHAT")
final class CalibrateVerb {

  /** A pump, run into a measuring jug by hand while its exchange is held. */
  @Command(
      name = "pump",
      description = {
        "Tells what a pump really moved in a time.",
        "Hold the exchange, run the pump by hand into a jug, measure, and release the hold."
      })
  static final class Pump extends ActVerb {
    @Parameters(paramLabel = "NAME", description = "The pump: drain or fill.")
    @SuppressWarnings("NullAway.Init") // set by picocli
    private String name;

    @Option(
        names = "--measured",
        required = true,
        arity = "1..2",
        paramLabel = "VOLUME",
        description = "What came out, such as 480mL.")
    @SuppressWarnings("NullAway.Init") // set by picocli
    private List<String> measured;

    @Option(
        names = "--for",
        required = true,
        arity = "1..2",
        paramLabel = "TIME",
        description = "How long it ran, such as 120s.")
    @SuppressWarnings("NullAway.Init") // set by picocli
    private List<String> time;

    @Option(names = "--note", paramLabel = "TEXT", description = "A remark.")
    private String text = "";

    @Override
    Map<String, String> act() {
      return Map.of(
          "act",
          "calibrate",
          "name",
          name,
          "measured",
          Arguments.amount(measured, ""),
          "for",
          Arguments.amount(time, ""),
          "text",
          text);
    }
  }
}
