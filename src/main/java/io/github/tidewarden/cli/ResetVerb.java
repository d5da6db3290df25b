package io.github.tidewarden.cli;

import java.util.Map;
import picocli.CommandLine.Command;
import picocli.CommandLine.Option;

/** {@code reset}: lets go of a latched trip whose cause is over. */
@Command(name = "reset", description = "Resets a latched trip; refused while its cause stands.")
final class ResetVerb extends ActVerb {
  @Option(
      names = "--interlock",
      required = true,
      paramLabel = "NAME",
      description = "What is latched, such as redox-ceiling.")
  @SuppressWarnings("NullAway.Init") // set by picocli
  private String interlock;

  @Option(names = "--because", paramLabel = "TEXT", description = "Why it may go on.")
  private String because = "";

  @Override
  Map<String, String> act() {
    return Map.of("act", "reset", "name", interlock, "text", because);
  }
}
