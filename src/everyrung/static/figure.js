// @ts-check
// The flat figures of the studio: each mounts itself on its <canvas data-motion-url>.
import { mountFigure } from "./figure/figure.js";
import { mountEach } from "./figure/mount.js";

/** @param {HTMLCanvasElement} canvas */
const address = (canvas) => canvas.dataset.motionUrl ?? "";

mountEach("canvas[data-motion-url]", address, (canvas, motion) =>
  mountFigure(canvas, motion, {
    playing: canvas.dataset.playing !== "false",
    speed: Number(canvas.dataset.speed) || 1,
    mirrored: canvas.hasAttribute("data-mirrored"),
    stops: JSON.parse(canvas.dataset.stops ?? "[]"),
  }));
