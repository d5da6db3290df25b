package io.github.tidewarden.control;

import io.github.tidewarden.interlock.Stop;
import io.github.tidewarden.interlock.TankFunction;
import io.github.tidewarden.quantity.Figures;
import java.util.ArrayList;
import java.util.EnumSet;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import org.jspecify.annotations.Nullable;

/** What a keeper holds at rest in one turn; ends what is over. */
final class HoldKeeper {
  private static final String NAME = "hold";

  private final Turn turn;

  HoldKeeper(Turn turn) {
    this.turn = turn;
  }

  /** Writes of each hold that is over. */
  void endsWhatIsOver() {
    turn.memory
        .holds()
        .forEach(
            (name, hold) -> {
              if (!hold.stands(turn.before.boot(), turn.now)) {
                Map<String, Object> fields = new LinkedHashMap<>();
                fields.put(Fields.NAME, name);
                fields.put(Fields.END, Figures.recordTime(hold.end()));
                turn.write(Kind.HOLD_OVER, "the hold of " + name + " is over", fields);
              }
            });
  }

  /** Why a function is held; null when it is not. */
  @Nullable String why(TankFunction function) {
    for (String name : List.of(function.word(), Deed.WHOLE)) {
      Hold hold = turn.memory.holds().get(name);
      if (hold != null && covers(name).contains(function)) {
        return NAME
            + ": "
            + name
            + " is held by the keeper"
            + (hold.why().isBlank() ? "" : ": " + hold.why());
      }
    }
    return null;
  }

  /** Whether a stop is a keeper's hold. */
  static boolean made(Stop stop) {
    return stop.name().equals(NAME);
  }

  /** The same as stops. */
  List<Stop> stops() {
    List<Stop> stops = new ArrayList<>();
    for (TankFunction function : TankFunction.values()) {
      String why = why(function);
      if (why != null) {
        stops.add(new Stop(function, NAME, why.substring(NAME.length() + 2), false));
      }
    }
    return stops;
  }

  /** Top-off goes on while a tank is held: what evaporates has to come back. */
  private static Set<TankFunction> covers(String name) {
    return name.equals(Deed.WHOLE)
        ? EnumSet.of(TankFunction.OZONE, TankFunction.EXCHANGE)
        : EnumSet.allOf(TankFunction.class);
  }
}
