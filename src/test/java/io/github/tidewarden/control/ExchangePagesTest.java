package io.github.tidewarden.control;

import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.exchange.Exchange;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.Locale;
import java.util.Objects;
import java.util.Set;
import java.util.TreeSet;
import org.junit.jupiter.api.Test;

/** What the pages say of the exchange is what the core knows. */
class ExchangePagesTest {

  private static String page(String name) throws IOException {
    return Files.readString(Path.of(name));
  }

  @Test
  void theRequestsOfThePageAreReadAsTheyStand() throws Exception {
    Set<String> shown = new TreeSet<>();
    for (String line : page("src/site/markdown/exchange.md").lines().toList()) {
      if (line.startsWith("{\"act\"")) {
        KeeperAct act =
            Objects.requireNonNull(KeeperAct.read(line.getBytes(StandardCharsets.UTF_8)));
        assertThat(act.sent()).as(line).isNotNull();
        assertThat(act.id()).as(line).isNotEmpty();
        assertThat(act.by()).as(line).isNotEmpty();
        assertThat(Deed.read(act)).as(line).isNotNull();
        shown.add(act.act());
      }
    }
    assertThat(shown).containsExactlyInAnyOrderElementsOf(Deed.WORDS);
  }

  @Test
  void everyLatchIsExplainedAndEveryPhaseNamed() throws IOException {
    String safety = page("SAFETY.md");
    assertThat(
            Arrays.stream(Exchange.Latch.values())
                .map(Exchange.Latch::word)
                .filter(
                    word ->
                        safety
                            .lines()
                            .noneMatch(
                                line ->
                                    line.matches("\\| [^|]*`" + word + "`[^|]* \\|.*\\|.*\\|"))))
        .isEmpty();
    assertThat(page("src/site/markdown/exchange.md"))
        .contains(
            Arrays.stream(Exchange.Phase.values())
                .map(phase -> "`" + phase.name().toLowerCase(Locale.ROOT) + "`")
                .toList());
  }
}
