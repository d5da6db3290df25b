package io.github.tidewarden.system;

import static io.github.tidewarden.system.Rig.TANK;
import static org.assertj.core.api.Assertions.assertThat;

import com.fasterxml.jackson.databind.ObjectMapper;
import io.github.tidewarden.broker.Mosquitto;
import io.github.tidewarden.broker.TestBroker;
import io.github.tidewarden.control.Kind;
import java.util.ArrayList;
import java.util.List;
import org.awaitility.Awaitility;
import org.junit.jupiter.api.Test;

/**
 * A bare shell and a service often have the POSIX locale. What is printed is UTF-8 there too, and
 * an argument whose letters it cannot carry is refused instead of kept in ruins.
 */
class PosixLocaleTest extends SystemSuite {
  /** Adds a keeper's name and remark; by octal numbers, for this process may be POSIX as well. */
  private static final String BY_INES =
      "exec \"$0\" \"$@\" --by \"$(printf 'In\\303\\252s')\" \"$(printf '\\303\\241gua limpa')\"";

  @Override
  TestBroker newBroker() {
    return new Mosquitto();
  }

  @Test
  void whatIsPrintedIsUtf8AndWhatWasLostIsRefused() throws Exception {
    try (Rig rig = rig(new SiteFile())) {
      DaemonProcess daemon = rig.keep(under("C", List.of(), rig, "run"));
      rig.seen.awaitSwitch(TANK, true, rig.allIsWell(TANK, 320));

      DaemonProcess lost = under("C", List.of("sh", "-c", BY_INES), rig, "note", "--tank", TANK);
      assertThat(lost.awaitExit()).isEqualTo(64);
      assertThat(lost.err()).contains("a letter was lost in \"In", "LC_ALL=C.UTF-8");
      assertThat(rig.audit(Kind.ACT)).isEmpty();

      DaemonProcess kept =
          under("C.UTF-8", List.of("sh", "-c", BY_INES), rig, "note", "--tank", TANK);
      assertThat(kept.awaitExit()).isZero();
      Awaitility.await().atMost(Rig.PATIENCE).until(() -> !rig.audit(Kind.ACT).isEmpty());
      assertThat(daemon.err()).contains("In\u00eas", "\u00e1gua limpa");

      String state = rig.directory().resolve("state").toString();
      DaemonProcess shown = plain("C", rig, "audit", "show", "--json", "--kind", "act", state);
      assertThat(shown.awaitExit()).isZero();
      assertThat(new ObjectMapper().readTree(shown.out()).path("by").asText())
          .isEqualTo("In\u00eas");
      DaemonProcess review = under("C", List.of(), rig, "review");
      assertThat(review.awaitExit()).isZero();
      assertThat(review.out()).contains("In\u00eas", "\u00e1gua limpa");
      assertThat(daemon.isAlive()).isTrue();
    }
  }

  private static DaemonProcess under(
      String locale, List<String> wrapper, Rig rig, String verb, String... options) {
    List<String> arguments = new ArrayList<>(List.of(verb, "--config", rig.config().toString()));
    arguments.addAll(List.of(options));
    List<String> whole = new ArrayList<>(List.of("env", "LC_ALL=" + locale));
    whole.addAll(wrapper);
    return rig.keep(
        DaemonProcess.startUnder(whole, rig.directory(), arguments.toArray(String[]::new)));
  }

  private static DaemonProcess plain(String locale, Rig rig, String... arguments) {
    return rig.keep(
        DaemonProcess.startUnder(List.of("env", "LC_ALL=" + locale), rig.directory(), arguments));
  }
}
