package io.github.tidewarden.system;

import static io.github.tidewarden.system.Rig.TANK;
import static org.assertj.core.api.Assertions.assertThat;

import io.github.tidewarden.WaitsForBrokers;
import io.github.tidewarden.broker.Mosquitto;
import io.github.tidewarden.control.Kind;
import io.github.tidewarden.schedule.Nights;
import java.nio.file.Path;
import java.time.Instant;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;

/** What a real daemon kept of a dose, a kill and a second life is run again by the real verb. */
@WaitsForBrokers
@Timeout(value = 150, threadMode = Timeout.ThreadMode.SEPARATE_THREAD)
class ReplayedLiveTest {

  @Test
  void theSameConfigurationDecidesTheSameAsTheDaemonDid() {
    try (Mosquitto broker = new Mosquitto()) {
      broker.start();
      try (Rig rig = new Rig(broker.uri(), new SiteFile())) {
        String night =
            Nights.nightOf(Instant.now(), SiteFile.read(rig.config()).site().zone()).toString();
        DaemonProcess first = rig.startProcess();
        rig.awaitOn(rig.allIsWell(TANK, 320));
        rig.awaitOff(rig.sayRedox(TANK, 366));
        first.kill();

        DaemonProcess second = rig.startProcess();
        rig.awaitOn(rig.allIsWell(TANK, 320));
        second.signal("TERM");
        assertThat(second.awaitExit()).isZero();

        Path picture = rig.directory().resolve("night.html");
        DaemonProcess same = rig.verb("replay", "--night", night, "--html", picture.toString());
        assertThat(same.out()).containsPattern("\\d+ records, all the same");
        assertThat(same.awaitExit()).isZero();
        assertThat(picture).isNotEmptyFile();
        assertThat(rig.audit(Kind.RUN)).hasSizeGreaterThanOrEqualTo(2);

        SiteFile less = rig.site().redox("stale-after: 50 s").mostPerNight("5 min");
        Path other = less.write(rig.directory().resolve("other.yaml"));
        DaemonProcess against = rig.verb("replay", "--night", night, "--against", other.toString());
        assertThat(against.out())
            .contains("The water is as recorded; it would have answered otherwise.")
            .contains("ozone, min");
        assertThat(against.awaitExit()).isZero();

        DaemonProcess none = rig.verb("replay", "--night", "2020-01-01");
        assertThat(none.awaitExit()).isEqualTo(65);
        assertThat(none.out()).contains("no trace of that night");
      }
    }
  }
}
