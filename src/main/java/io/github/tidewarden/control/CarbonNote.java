package io.github.tidewarden.control;

import java.util.Map;

/** Carbon was changed: the hours that ozone runs begin anew for it. */
record CarbonNote(Carbon carbon, String text) implements Deed {

  static CarbonNote read(KeeperAct act) throws Deed.RefusedException {
    String word = act.said(Fields.CARBON);
    Carbon carbon = Carbon.named(word);
    if (carbon == null) {
      throw new Deed.RefusedException(
          "\"" + word + "\" is none of " + String.join(", ", Carbon.words()));
    }
    return new CarbonNote(carbon, act.text());
  }

  @Override
  public Deed.Recorded judge(Deed.Place place) throws Deed.RefusedException {
    TankSpec spec = place.tank().spec;
    if (!spec.care().carbon().containsKey(carbon)) {
      throw new Deed.RefusedException(
          spec.name()
              + " has no carbon on "
              + carbon.word()
              + " by its configuration; declare it under `ozone`: `carbon: { "
              + carbon.word()
              + ": {} }`, or keep a remark in quotation marks");
    }
    return new Deed.Recorded(
        carbon.guard(),
        text,
        "noted that the carbon on " + carbon.word() + " was changed" + Deed.because(text),
        Map.of(Fields.CARBON, carbon.word()));
  }
}
