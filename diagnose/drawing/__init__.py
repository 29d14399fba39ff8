"""Fault trees and routes as DOT, SVG and node-link JSON."""
