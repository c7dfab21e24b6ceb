"""Paper in and paper out: floor drawings, plates and sites read; route pages, pictures and tables written."""
