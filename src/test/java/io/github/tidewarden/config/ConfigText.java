package io.github.tidewarden.config;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;

/**
 * The text of a configuration that a test changes. The sign « stands where a complaint is expected;
 * it is taken out before the text is read.
 */
public record ConfigText(String text) {
  static final Path FILE = Path.of("lab.yaml");

  private static final String HERE = "«";

  /** The shipped harbour-lab. */
  public static ConfigText lab() {
    return shipped("harbour-lab");
  }

  /** The shipped harbour-quarantine. */
  public static ConfigText quarantine() {
    return shipped("quarantine");
  }

  private static ConfigText shipped(String name) {
    try {
      return new ConfigText(Files.readString(Path.of("config", name + ".yaml")));
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
  }

  /** With the first occurrence of a text replaced, which must be there. */
  public ConfigText with(String old, String changed) {
    int at = text.indexOf(old);
    assertThat(at).as("\"%s\" in the text", old).isNotNegative();
    return new ConfigText(text.substring(0, at) + changed + text.substring(at + old.length()));
  }

  /** The lagoon with a float in its waste. */
  public ConfigText withWaste() {
    return with(
        "      floor:       {",
        "      waste:       { topic: lab/lagoon/waste, measures: full,"
            + " states: { full: \"1\", empty: \"0\" } }\n"
            + "      floor:       {");
  }

  /** The lagoon with a contact in the cup of its skimmer, and what is said of the skimmer. */
  public ConfigText withSkimmer(String skimmer) {
    return with(
            "      floor:       {",
            "      skimmer-cup: { topic: lab/lagoon/skimmer/cup, measures: full,"
                + " states: { full: \"1\", empty: \"0\" } }\n"
                + "      floor:       {")
        .with("    without: {", "    skimmer: " + skimmer + "\n    without: {");
  }

  /**
   * The lagoon with sensors of salinity and temperature in its bin, and a temperature of its own.
   */
  ConfigText withSensorsInTheBin() {
    return with(
            "      floor:       {",
            """
                  bin-salinity: { topic: lab/lagoon/bin/salinity, measures: salinity, unit: PSU }
                  bin-warmth:  { topic: lab/lagoon/bin/warmth, measures: temperature, unit: Cel }
                  warmth:      { topic: lab/lagoon/warmth, measures: temperature, unit: Cel }
            """
                + "      floor:       {")
        .with(
            "new-water: { holds: 120 L, salinity: 35 PSU }",
            "new-water: { holds: 120 L, salinity: 35 PSU, salinity-sensor: bin-salinity,"
                + " temperature-sensor: bin-warmth }");
  }

  /** Both tanks share the bin and the waste of a cellar. */
  ConfigText withCellar() {
    return with(
            "\ntanks:\n",
            """

            shared:
              cellar:
                sensors:
                  cellar-volume: { topic: lab/cellar/volume, measures: volume, unit: L, low: 10 L }
                  cellar-waste: { topic: lab/cellar/waste, measures: full, states: { full: "1", empty: "0" } }
                new-water: { holds: 200 L, salinity: 34 PSU }
            tanks:
            """)
        .with("    water: 340 L", "    shares: [cellar]\n    water: 340 L")
        .with("    water: 60 L", "    shares: [cellar]\n    water: 60 L")
        .with("      new-water:   {", "#")
        .with("      new-water: { holds: 120 L, salinity: 35 PSU }\n", "")
        .with("      new-water: { holds: 25 L, salinity: 35 PSU }\n", "")
        .with("      new-water-sensor: counted", "#");
  }

  /** Reads it; it must be right. */
  public Configuration read() throws ConfigException {
    return ConfigReader.read(FILE, bytes());
  }

  byte[] bytes() {
    return text.replace(HERE, "").getBytes(StandardCharsets.UTF_8);
  }

  /** The places of the signs, as LINE:COL. */
  List<String> expectedPlaces() {
    List<String> places = new ArrayList<>();
    int line = 1;
    int column = 1;
    for (int codePoint : text.codePoints().toArray()) {
      if (codePoint == HERE.codePointAt(0)) {
        places.add(line + ":" + column);
      } else if (codePoint == '\n') {
        line++;
        column = 1;
      } else {
        column++;
      }
    }
    return places;
  }

  /** The complaints; empty when it is right. */
  List<Complaint> complaints() {
    try {
      read();
      return List.of();
    } catch (ConfigException e) {
      return e.complaints();
    }
  }
}
