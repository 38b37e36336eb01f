"""One file a page, each with `routes`; found by `app.all_routes` without being named anywhere."""
