package io.github.tidewarden.cli;

import java.util.List;
import java.util.Map;
import picocli.CommandLine.Command;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;

/**
 * {@code calibrate}: what a pump really moves, and what a redox probe reads in a check solution.
 */
@Command(
    name = "calibrate",
    description = "Tells the daemon what was measured.",
    subcommands = {CalibrateVerb.Pump.class, CalibrateVerb.Probe.class},
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

  /** A redox probe that stands in a solution of known redox while ozone is held. */
  @Command(
      name = "probe",
      description = {
        "Compares a redox (ORP) probe with a solution of known redox.",
        "Hold ozone, rinse the probe, put it into the solution and leave it there for five minutes,"
            + " for the daemon takes the value from its own readings; rinse it again, put it back,"
            + " and release the hold. Handle each solution as its maker's sheet says."
      })
  static final class Probe extends ActVerb {
    @Parameters(paramLabel = "NAME", description = "The probe, such as redox-a.")
    @SuppressWarnings("NullAway.Init") // set by picocli
    private String name;

    @Option(
        names = "--in",
        required = true,
        paramLabel = "SOLUTION",
        description = {
          "What it stands in: zobell, light, quinhydrone-4 or quinhydrone-7;",
          "or what a sound probe reads there against the tank's reference electrode, such as 228mV."
        })
    @SuppressWarnings("NullAway.Init") // set by picocli
    private String in;

    @Option(
        names = "--temperature",
        required = true,
        paramLabel = "TEMPERATURE",
        description = "Of the solution, such as 25Cel.")
    @SuppressWarnings("NullAway.Init") // set by picocli
    private String temperature;

    @Option(
        names = "--source",
        paramLabel = "WORD",
        description =
            "Whose figure of the solution to take: for zobell standard-methods (as without it) or"
                + " nordstrom.")
    private String source = "";

    @Option(names = "--note", paramLabel = "TEXT", description = "A remark.")
    private String text = "";

    @Override
    Map<String, String> act() {
      return Map.of(
          "act",
          "calibrate-probe",
          "name",
          name,
          "in",
          Arguments.amount(List.of(in), ""),
          "temperature",
          Arguments.amount(List.of(temperature), "Cel"),
          "source",
          source,
          "text",
          text);
    }
  }
}
