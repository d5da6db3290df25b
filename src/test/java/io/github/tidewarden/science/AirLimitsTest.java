package io.github.tidewarden.science;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.IOException;
import java.lang.reflect.Field;
import java.math.BigDecimal;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Map;
import java.util.TreeMap;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.junit.jupiter.api.Test;

/** The limits are those of their sources, and SAFETY.md prints the same. */
class AirLimitsTest {

  private static final Pattern ROW =
      Pattern.compile("\\| ([^|]+) \\| ([0-9.]+) (ppm|µg/m³)[^|]* \\| [^|]*\\|");

  /** Each constant: as its source prints it, and the start of its row on the page. */
  private record Limit(String printed, String unit, String row, String averaged) {}

  private static final Map<String, Limit> LIMITS =
      new TreeMap<>(
          Map.of(
              // 29 CFR 1910.1000 table Z-1, read in a copy
              "OSHA_8_H_PPB",
              new Limit("0.1", "ppm", "OSHA PEL", "8 h"),
              // NIOSH, documentation of the IDLH, read
              "NIOSH_CEILING_PPB",
              new Limit("0.1", "ppm", "NIOSH REL", "ceiling"),
              "NIOSH_IDLH_PPB",
              new Limit("5", "ppm", "NIOSH IDLH", ""),
              // 21 CFR 801.415(c)(1), read
              "FDA_DEVICE_PPB",
              new Limit("0.05", "ppm", "FDA", "accumulated"),
              // WHO global air quality guidelines 2021 (NBK574591), read
              "WHO_8_H_MICROGRAMS_PER_CUBIC_METRE",
              new Limit("100", "µg/m³", "WHO", "8 h"),
              "WHO_PEAK_SEASON_MICROGRAMS_PER_CUBIC_METRE",
              new Limit("60", "µg/m³", "WHO", "peak season")));

  @Test
  void eachIsWhatItsSourcePrintsAndThePageTells() throws IOException, IllegalAccessException {
    Map<String, Limit> told = new TreeMap<>();
    for (Field field : AirLimits.class.getFields()) {
      Limit limit = LIMITS.get(field.getName());
      assertThat(limit).as(field.getName()).isNotNull();
      double factor = limit.unit().equals("ppm") ? 1000 : 1;
      assertThat(field.getDouble(null))
          .as(field.getName())
          .isEqualTo(new BigDecimal(limit.printed()).doubleValue() * factor);
      assertThat(rows(limit)).as(field.getName()).isEqualTo(1);
      told.put(field.getName(), limit);
    }
    assertThat(told).isEqualTo(LIMITS);
  }

  /** How many rows of the page say so. */
  private static long rows(Limit limit) throws IOException {
    return Files.readAllLines(Path.of("SAFETY.md")).stream()
        .map(ROW::matcher)
        .filter(Matcher::matches)
        .filter(
            row ->
                row.group(1).startsWith(limit.row())
                    && row.group(2).equals(limit.printed())
                    && row.group(3).equals(limit.unit())
                    && row.group().contains(limit.averaged()))
        .count();
  }
}
