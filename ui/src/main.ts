import { mount } from "svelte";
import App from "./App.svelte";
import "./style/base.css";
import "./style/parts.css";
import "./style/tokens.css";

const room = document.getElementById("room");
if (!room) throw new Error("index.html has no #room");
mount(App, { target: room });
