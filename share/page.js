/* Plays the moments of a page where they stand: a touch plays one from two seconds before and again
 * and again, keys and buttons go to the next and the one before. Without this file every moment is
 * still a link, and every clip has its own buttons. */
"use strict";
(function () {
  var moments = Array.from(document.querySelectorAll(".moment"));
  var steps = document.querySelector(".steps");
  var told = document.getElementById("told");
  var chosen = null; /* {li, video, from, to}; to is infinite once a person has gone elsewhere */
  var moving = false; /* the seek that is going on is ours */

  function videoOf(li) {
    return li.dataset.video ? document.getElementById(li.dataset.video) : li.querySelector("video");
  }

  function goTo(video, at) {
    moving = true;
    video.currentTime = at;
  }

  /* A clip whose length is not known yet cannot be sought in. */
  function whenReady(video, then) {
    if (video.readyState >= 1) then();
    else {
      video.addEventListener("loadedmetadata", then, {once: true});
      video.preload = "auto";
      video.load();
    }
  }

  function say(li) {
    var line = li.closest(".line"), head = line && line.querySelector("h3 bdi");
    var words = [head, li.querySelector(".at"), li.querySelector(".place")];
    told.textContent = words.map(function (e) { return e ? e.textContent : ""; }).join(" · ");
  }

  function show(video) {
    var figure = video.closest("#clips figure");
    if (figure) document.body.classList.add("playing");
    document.querySelectorAll("#clips figure").forEach(function (f) {
      f.classList.toggle("now", f === figure);
    });
  }

  var playButton = document.getElementById("play");

  /* What a telephone records is not played by every browser: then its pictures are what there is. */
  function unplayed(video) {
    var soundAlone = video.readyState >= 1 && !video.videoWidth;
    if (!(video.error || soundAlone) || video.classList.contains("unplayed")) return;
    var words = document.createElement("p"), link = document.createElement("a");
    video.classList.add("unplayed");
    link.href = video.src;
    link.textContent = "open the clip in another player";
    words.className = "unplayed";
    words.append("This browser does not play ", video.getAttribute("aria-label") || "this clip", ": ", link,
      ". A touch on a moment shows its picture.");
    video.after(words);
    if (chosen && chosen.video === video) showPicture(chosen.li);
  }

  function showPicture(li) {
    var img = li.querySelector("img");
    if (img) enlarge(img);
  }

  function play(video) {
    var started = video.play();
    if (started) started.catch(function () {}); /* a browser may want a touch first */
  }

  /* Where the page's stylesheet leaves room for the clip and the line's name above it. */
  function choose(li, scroll) {
    var video = videoOf(li);
    if (chosen) {
      chosen.li.classList.remove("chosen");
      if (chosen.video && chosen.video !== video) chosen.video.pause();
    }
    chosen = {li: li, video: video, from: Number(li.dataset.from), to: Number(li.dataset.to)};
    li.classList.add("chosen");
    if (video) show(video);
    li.scrollIntoView(scroll || {block: "nearest"});
    say(li);
    remember(li.id);
    if (!video) return;
    if (video.classList.contains("unplayed")) {
      showPicture(li);
      return;
    }
    var now = chosen;
    whenReady(video, function () {
      if (chosen !== now) return;
      goTo(video, now.from);
      play(video);
    });
  }

  function remember(id) {
    try { history.replaceState(null, "", "#" + id); } catch (e) { /* a page without an address */ }
  }

  /* Again from the beginning, also where the clip ends before the moment does. */
  function loop() {
    if (chosen && chosen.video && !moving && !chosen.video.paused &&
        chosen.video.currentTime >= chosen.to)
      goTo(chosen.video, chosen.from);
    requestAnimationFrame(loop);
  }

  function step(by) {
    var at = chosen ? moments.indexOf(chosen.li) + by : by > 0 ? 0 : moments.length - 1;
    if (moments[at]) choose(moments[at]);
  }

  function toggle() {
    if (!chosen) step(1);
    else if (chosen.video && chosen.video.paused) play(chosen.video);
    else if (chosen.video) chosen.video.pause();
  }

  function fromAddress() {
    var li = document.getElementById(location.hash.slice(1));
    if (li && li.classList.contains("moment")) choose(li, {block: "start", behavior: "instant"});
    else if (!li && location.hash.indexOf("#m=") === 0) {
      told.textContent = "The moment of this link is not on this page any more.";
    }
  }

  /* --- a picture by itself, larger ------------------------------------------------------------- */

  var large = null; /* made when it is first asked for */

  function button(text, act) {
    var b = document.createElement("button");
    b.type = "button";
    b.textContent = text;
    b.addEventListener("click", act);
    return b;
  }

  function enlarge(img) {
    if (!window.HTMLDialogElement) return;
    if (!large) {
      large = document.createElement("dialog");
      large.className = "large";
      large.setAttribute("aria-label", "Larger picture");
      large.append(button("Close", function () { large.close(); }), document.createElement("img"));
      document.body.append(large);
    }
    large.querySelector("img").src = img.src;
    large.querySelector("img").alt = "";
    if (!large.open) large.showModal();
    large.scrollLeft = (large.scrollWidth - large.clientWidth) / 2;
  }

  /* A picture within the page, to which no browser goes, gets a button in place of the link. */
  document.querySelectorAll("span.larger").forEach(function (span) {
    var b = button("", function () { enlarge(b.querySelector("img")); });
    var words = document.createElement("span");
    words.textContent = "Larger picture";
    b.className = "larger";
    b.append(span.querySelector("img"), words);
    span.replaceWith(b);
  });

  /* --- pages whose moments have clips of their own: the picture is the clip's, until it plays ---- */

  document.querySelectorAll(".moment > .still").forEach(function (img) {
    img.parentElement.querySelector("video").poster = img.src;
    document.body.classList.add("posters");
  });

  document.querySelectorAll("video").forEach(function (video) {
    video.addEventListener("seeking", function () {
      if (!moving && chosen && chosen.video === video &&
          (video.currentTime < chosen.from - 0.5 || video.currentTime > chosen.to))
        chosen.to = Infinity; /* a person looks elsewhere: let it run */
    });
    ["error", "loadedmetadata"].forEach(function (name) {
      video.addEventListener(name, function () { unplayed(video); });
    });
    unplayed(video);
    video.addEventListener("seeked", function () { moving = false; });
    ["play", "pause"].forEach(function (name) {
      video.addEventListener(name, function () {
        if (playButton && chosen && chosen.video === video)
          playButton.textContent = video.paused ? "Play" : "Stop";
      });
    });
    video.addEventListener("ended", function () {
      if (chosen && chosen.video === video && chosen.to !== Infinity) {
        goTo(video, chosen.from);
        play(video);
      }
    });
  });

  document.addEventListener("click", function (e) {
    var link = e.target.closest("a.go, a.larger");
    if (link && link.className === "larger" && window.HTMLDialogElement && !e.ctrlKey && !e.metaKey && !e.shiftKey) {
      e.preventDefault();
      enlarge(link.querySelector("img"));
      return;
    }
    if (!link || e.ctrlKey || e.metaKey || e.shiftKey || !videoOf(link.parentElement)) return;
    e.preventDefault();
    choose(link.parentElement);
  });

  document.addEventListener("keydown", function (e) {
    var keys = {n: function () { step(1); }, b: function () { step(-1); }, p: toggle};
    if (e.ctrlKey || e.metaKey || e.altKey || !keys[e.key] || (large && large.open)) return;
    e.preventDefault();
    keys[e.key]();
  });

  /* Forty clips are no way to begin a page: only the one that plays is seen, above the list. */
  var clips = document.getElementById("clips");
  if (clips) {
    document.body.classList.add("scripted");
    document.querySelector("main").prepend(clips);
  }

  if (steps && moments.length) {
    steps.hidden = false;
    playButton.hidden = !moments.some(videoOf);
    document.getElementById("before").addEventListener("click", function () { step(-1); });
    document.getElementById("next").addEventListener("click", function () { step(1); });
    playButton.addEventListener("click", toggle);
  }
  window.addEventListener("hashchange", fromAddress);
  fromAddress();
  requestAnimationFrame(loop);
})();
