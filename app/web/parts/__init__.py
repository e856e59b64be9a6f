"""What the pages share: forms, rendering, navigation, error pages."""
