"""What all printed pages share: paper sizes, HTML, drawings, typesetting, the mark of our own files."""
