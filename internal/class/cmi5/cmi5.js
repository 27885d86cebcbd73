// Speaks to the learning management system that launched the bench, by the
// cmi5 rules: initialized first, passed or failed once, terminated last.
"use strict";
(function () {
  const query = new URLSearchParams(location.search);
  const endpoint = (query.get("endpoint") || "").replace(/\/?$/, "/");
  if (!query.get("endpoint") || !query.get("fetch")) {
    return; // opened by hand, not launched
  }
  const actor = JSON.parse(query.get("actor"));
  const registration = query.get("registration");
  const activity = query.get("activityId");
  const began = Date.now();
  const category = (name) => ({ id: "https://w3id.org/xapi/cmi5/context/categories/" + name });
  let token = "", launch = null, done = false, ended = false;
  let last = Promise.resolve(); // statements go out one after the other

  const headers = () => ({ "Authorization": "Basic " + token, "X-Experience-API-Version": "1.0.3", "Content-Type": "application/json" });

  async function ask(path, options) {
    const answer = await fetch(endpoint + path, Object.assign({ headers: headers() }, options));
    if (!answer.ok && answer.status !== 404) {
      throw new Error("the learning management system answered " + answer.status);
    }
    return answer;
  }

  function duration() {
    return "PT" + ((Date.now() - began) / 1000).toFixed(2) + "S";
  }

  function statement(verb, result, categories, extensions) {
    const context = JSON.parse(JSON.stringify(launch.contextTemplate || {}));
    context.registration = registration;
    context.contextActivities = context.contextActivities || {};
    context.contextActivities.category = (context.contextActivities.category || []).concat(categories.map(category));
    if (extensions) {
      context.extensions = Object.assign(context.extensions || {}, extensions);
    }
    const s = {
      id: crypto.randomUUID(), actor: actor, verb: { id: "http://adlnet.gov/expapi/verbs/" + verb, display: { en: verb } },
      object: { objectType: "Activity", id: activity }, context: context, timestamp: new Date().toISOString(),
    };
    if (result) {
      s.result = result;
    }
    return s;
  }

  function send(s, keepalive) {
    const put = () => ask("statements?statementId=" + s.id, { method: "PUT", body: JSON.stringify(s), keepalive: keepalive === true });
    last = last.then(put).catch(() => new Promise((next) => setTimeout(next, 2000)).then(put)).catch(() => {});
    return last;
  }

  async function begin() {
    const answer = await fetch(query.get("fetch"), { method: "POST" });
    token = (await answer.json())["auth-token"];
    const state = new URLSearchParams({ stateId: "LMS.LaunchData", activityId: activity, agent: JSON.stringify(actor), registration: registration });
    launch = await (await ask("activities/state?" + state)).json();
    // The rules ask every unit to look at the learner's preferences; there is nothing here that they would change.
    await ask("agents/profile?" + new URLSearchParams({ profileId: "cmi5LearnerPreferences", agent: JSON.stringify(actor) })).catch(() => {});
    if (launch.launchMode === undefined || launch.launchMode === "Normal") {
      await send(statement("initialized", null, ["cmi5"]));
    }
  }

  // The bench calls this when an attempt has been judged.
  window.foilwrightFinished = function (text) {
    if (done || !launch || launch.launchMode !== "Normal") {
      return; // browse and review modes record no result; one result in a session
    }
    const found = JSON.parse(text);
    const mastery = launch.masteryScore;
    const passed = found.passed && (mastery === undefined || found.technique / 100 >= mastery);
    done = passed; // after a failed attempt another one may still pass
    const extensions = mastery === undefined ? null : { "https://w3id.org/xapi/cmi5/context/extensions/masteryscore": mastery };
    const result = { score: { scaled: found.technique / 100, raw: found.technique, min: 0, max: 100 }, success: passed, duration: duration() };
    send(statement(passed ? "passed" : "failed", result, ["cmi5", "moveon"], extensions));
  };

  window.addEventListener("pagehide", () => {
    if (launch && !ended) {
      ended = true;
      const s = statement("terminated", { duration: duration() }, ["cmi5"]);
      fetch(endpoint + "statements?statementId=" + s.id, { method: "PUT", headers: headers(), body: JSON.stringify(s), keepalive: true });
    }
  });

  begin().catch((err) => console.error("cmi5: " + err.message));
})();
