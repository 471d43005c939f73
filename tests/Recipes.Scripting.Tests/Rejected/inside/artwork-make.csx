// R2002
var art = Artwork.FromPixels(null, 300);
