import { mount } from 'svelte';
import './look.css';
import App from './App.svelte';

mount(App, { target: document.getElementById('page') });
