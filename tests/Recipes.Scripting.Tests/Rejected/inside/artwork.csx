// R2002
var layers = Art.Artwork.Layers;
