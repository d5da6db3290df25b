package io.github.tidewarden.rehearsal;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.config.ConfigException;
import io.github.tidewarden.config.ConfigReader;
import io.github.tidewarden.control.SiteSpec;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.time.LocalDate;
import java.util.List;
import java.util.Set;
import java.util.TreeSet;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.junit.jupiter.api.Test;

/**
 * The judge finds what a daemon does that has other bounds than it should: each bound of the field
 * station is drawn tighter for the judge than for the daemon.
 */
class JudgeTest {
  private static final Path LAB = Path.of("config/harbour-lab.yaml");
  private static final Pattern INVARIANT = Pattern.compile("invariant ([0-9]+), .*");

  private static SiteSpec lab(String... changes) throws Exception {
    String text = Files.readString(LAB);
    for (int i = 0; i < changes.length; i += 2) {
      assertThat(text).contains(changes[i]);
      text = text.replace(changes[i], changes[i + 1]);
    }
    return read(text);
  }

  private static SiteSpec read(String text) throws ConfigException {
    return ConfigReader.read(LAB, text.getBytes(StandardCharsets.UTF_8)).site();
  }

  private static Set<Integer> broken(SiteSpec judged) throws Exception {
    Rehearsal.Outcome outcome =
        Rehearsal.of(
            new Rehearsal.Task(
                lab(),
                judged,
                TankModel::typical,
                LocalDate.of(2026, 1, 14),
                1,
                7,
                Duration.ofSeconds(5),
                Duration.ofSeconds(5),
                false),
            done -> {});
    List<String> told = outcome.broken();
    Set<Integer> invariants = new TreeSet<>();
    for (String each : told) {
      Matcher matcher = INVARIANT.matcher(each);
      assertThat(matcher.matches()).as(each).isTrue();
      assertThat(each).matches(TOLD);
      invariants.add(Integer.valueOf(matcher.group(1)));
    }
    return invariants;
  }

  /** Tank, night, time, and the event of the core that it was about. */
  private static final Pattern TOLD =
      Pattern.compile(
          "invariant [0-9]+, (lagoon|nursery), night of 2026-01-1[34], 2026-01-1[345]T[0-9:.]+Z,"
              + " event [0-9]+ \\((start|tick|synced|linkup|asked|heard lab/[a-z/-]+)\\): .+");

  /** One night for all of them, since it takes some seconds. */
  @Test
  void findsWhatIsDoneOutsideTighterBounds() throws Exception {
    SiteSpec judged =
        lab(
            "to: \"03:00\"",
            "to: \"02:00\"",
            "most-per-night: 60 min",
            "most-per-night: 10 min",
            "ceiling: 400 mV",
            "ceiling: 360 mV",
            "stop-above: 365 mV",
            "stop-above: 350 mV",
            "drop-out: 12 s",
            "drop-out: 6 s",
            "[180 mm, 240 mm]",
            "[207 mm, 240 mm]",
            "topic: lab/nursery/drain/set",
            "topic: lab/nursery/outlet/set");
    assertThat(broken(judged)).containsExactly(1, 2, 3, 4, 5, 7, 12);
  }
}
