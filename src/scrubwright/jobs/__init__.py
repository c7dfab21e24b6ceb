"""One module per question that somebody asks; each joins the know-how rooms."""
