"""The only way in: numbering, linking and inserting entries under the site's lock."""
