// One controller for each place on the page, however often Streamlit runs the widget.
//
// Streamlit calls the default export again for every change of data or theme, with
// the same parent element, and the clean-up of a call that was overtaken may come
// after the next call.  So only the latest call's clean-up takes the controller down.

const controllers = new WeakMap();

// `component` is what Streamlit hands over; `identity` names what the controller is
// about (a draft, a photo): another identity in the same place gets a new controller.
// `create(component)` returns `{ update(component), destroy() }`.
export function mount(component, identity, create) {
  const place = component.parentElement;
  let kept = controllers.get(place);
  if (kept && kept.identity !== identity) {
    kept.controller.destroy();
    kept = undefined;
  }
  if (!kept) {
    kept = { identity, turn: 0, controller: create(component) };
    controllers.set(place, kept);
  }
  kept.turn += 1;
  kept.controller.update(component);
  const turn = kept.turn;
  return () => {
    if (kept.turn !== turn) return;
    kept.controller.destroy();
    if (controllers.get(place) === kept) controllers.delete(place);
  };
}
