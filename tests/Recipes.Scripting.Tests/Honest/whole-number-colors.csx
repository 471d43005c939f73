// note: #fa0080 #000102 #0a141e28 True
Recipe.Title("Colors of whole numbers");
int level = 250;
byte one = 1;
Report.Note($"{new Rgba8(level, 0, 128)} {new Rgba8(0, one, one + 1)} {new Rgba8(10, 20, 30, 40)} {new Rgba8(one, 0, 0) == new Rgba8(1, 0, 0)}");
