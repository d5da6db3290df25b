package io.github.tidewarden.cli;

import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import org.jspecify.annotations.Nullable;
import picocli.CommandLine.ArgGroup;
import picocli.CommandLine.Command;
import picocli.CommandLine.Option;

/** {@code hold}: keeps a tank, or one function of it, at rest. */
@Command(
    name = "hold",
    description = {
      "Keeps a tank at rest: for a time, as for feeding, or until a date, as for a treatment.",
      "A hold of the tank is one of ozone and exchange; top-off is held by its name, 2 h at most.",
      "Several stand beside each other, each until its own end."
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

    @Option(
        names = "--release",
        arity = "0..1",
        paramLabel = "DATE",
        fallbackValue = "",
        description = {
          "Ends the hold for a time, of several the one that would end first;",
          "with a date the hold until that date."
        })
    private @Nullable String release;
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
    String released = until.release;
    act.put("act", released == null ? "hold" : "release");
    act.put("name", function);
    if (!until.time.isEmpty()) {
      act.put("for", Arguments.amount(until.time, ""));
    }
    String date = released == null ? until.date : released;
    if (!date.isEmpty()) {
      act.put("until", date);
    }
    act.put("text", because);
    return act;
  }
}
