package io.github.tidewarden.cli;

import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import picocli.CommandLine.Command;
import picocli.CommandLine.Option;

/** {@code batch}: a keeper confirms the new water in the bin. */
@Command(
    name = "batch",
    description = {
      "Confirms a batch of new water: measured, and fit for the tank.",
      "Without it nothing is exchanged, unless a sensor in the bin measures the salinity."
    })
final class BatchVerb extends ActVerb {
  @Option(
      names = "--salinity",
      required = true,
      arity = "1..2",
      paramLabel = "PSU",
      description = "As measured, in PSU.")
  @SuppressWarnings("NullAway.Init") // set by picocli
  private List<String> salinity;

  @Option(
      names = "--temperature",
      required = true,
      arity = "1..2",
      paramLabel = "CELSIUS",
      description = "As measured, in degrees Celsius.")
  @SuppressWarnings("NullAway.Init") // set by picocli
  private List<String> temperature;

  @Option(
      names = "--mixed-for",
      required = true,
      arity = "1..2",
      paramLabel = "TIME",
      description = "How long it has mixed, such as 4h.")
  @SuppressWarnings("NullAway.Init") // set by picocli
  private List<String> mixedFor;

  @Option(
      names = "--volume",
      arity = "1..2",
      paramLabel = "VOLUME",
      description = "How much is in the bin, such as 100L; without a sensor and this: a full bin.")
  private List<String> volume = List.of();

  @Option(names = "--note", paramLabel = "TEXT", description = "A remark.")
  private String text = "";

  @Override
  Map<String, String> act() {
    Map<String, String> act = new LinkedHashMap<>();
    act.put("act", "batch");
    act.put("salinity", Arguments.amount(salinity, "PSU"));
    act.put("temperature", Arguments.amount(temperature, "Cel"));
    act.put("mixed-for", Arguments.amount(mixedFor, ""));
    if (!volume.isEmpty()) {
      act.put("volume", Arguments.amount(volume, ""));
    }
    act.put("text", text);
    return act;
  }
}
