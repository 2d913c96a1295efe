// What a page was when it was left: how far down, which page of a table, what it was filtered by. Kept with the
// browser's own history, so that Back, Forward and a reload show it so.
(() => {
  history.scrollRestoration = "manual";
  let isSettled = false;
  let timer = 0;

  const kept = () => (history.state && history.state.keepway) || {};
  keepway.recall = (key) => kept()[key];
  keepway.remember = (key, value) => history.replaceState({...history.state, keepway: {...kept(), [key]: value}}, "");

  const keepPlace = () => {
    clearTimeout(timer);
    timer = 0;
    if (isSettled && Math.abs((keepway.recall("down") || 0) - scrollY) > 1) keepway.remember("down", scrollY);
  };
  addEventListener("scroll", () => {
    if (isSettled && timer === 0) timer = setTimeout(keepPlace, 150);
  }, {passive: true});
  // Before a link is followed: what the timer has not written yet.
  addEventListener("click", keepPlace, true);
  addEventListener("pagehide", keepPlace);
  // From here on what scrolls is the change of pages, not a person.
  keepway.leaving = () => {
    clearTimeout(timer);
    timer = 0;
    isSettled = false;
  };
  keepway.arrived = () => {
    scrollTo(0, keepway.recall("down") || 0);
    isSettled = true;
  };
})();
