// note: Beak { Name = beak, Color = orange } | True False
abstract record Part(string Name);
record Beak(string Name, string Color) : Part(Name);
record Wing(string Name, int Feathers) : Part(Name);

Part one = new Beak("beak", "orange"), same = new Beak("beak", "orange"), other = new Wing("beak", 3);
Report.Note($"{one} | {one == same} {one == other}");
