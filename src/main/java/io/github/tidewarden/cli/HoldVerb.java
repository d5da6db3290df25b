package io.github.tidewarden.cli;

import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import picocli.CommandLine.ArgGroup;
import picocli.CommandLine.Command;
import picocli.CommandLine.Option;

/** {@code hold}: keeps a tank, or one function of it, at rest. */
@Command(
    name = "hold",
    description = {
      "Keeps a tank at rest: for a time, as for feeding, or until a date, as for a treatment.",
      "A hold of the tank is one of ozone and exchange; top-off is held by its name, 2 h at most."
    })
final class HoldVerb extends ActVerb {
  /** How long, and nothing else. */
  static final class Until {
    @Option(
        names = "--for",
        arity = "1..2",
        paramLabel = "TIME",
        description = "How long, such as 20min; at most 24 h.")
    private List<String> time = List.of();

    @Option(
        names = "--until",
        paramLabel = "DATE",
        description = "Until noon of a date, so that the night of that date is free again.")
    private String date = "";

    @Option(names = "--release", description = "Ends the hold.")
    private boolean release;
  }

  @ArgGroup(multiplicity = "1")
  @SuppressWarnings("NullAway.Init") // set by picocli
  private Until until;

  @Option(
      names = "--function",
      paramLabel = "NAME",
      description = "tank (as without it), ozone, exchange or top-off.")
  private String function = "tank";

  @Option(names = "--because", paramLabel = "TEXT", description = "Why.")
  private String because = "";

  @Override
  Map<String, String> act() {
    Map<String, String> act = new LinkedHashMap<>();
    act.put("act", until.release ? "release" : "hold");
    act.put("name", function);
    if (!until.time.isEmpty()) {
      act.put("for", Arguments.amount(until.time, ""));
    }
    if (!until.date.isEmpty()) {
      act.put("until", until.date);
    }
    act.put("text", because);
    return act;
  }
}
