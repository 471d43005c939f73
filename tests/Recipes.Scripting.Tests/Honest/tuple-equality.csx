// note: True False (1, wing) 3
var a = (Number: 1, Name: "wing");
(int, string) b = (1, "wing");
(int low, int high) = (1, 3);
Report.Note($"{a == b} {a == (2, "wing")} {a} {high}");
