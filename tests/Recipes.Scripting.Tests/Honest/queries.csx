// note: black:2 white:1 | belly-3 wing-5
(string Part, string Color)[] parts = [("wing", "black"), ("belly", "white"), ("head", "black")];
(string Part, int Size)[] sizes = [("wing", 5), ("belly", 3)];
var colors =
    from part in parts
    group part by part.Color into same
    orderby same.Count() descending
    select $"{same.Key}:{same.Count()}";
var sized =
    from part in parts
    join size in sizes on part.Part equals size.Part
    let text = $"{part.Part}-{size.Size}"
    orderby size.Size, text
    select text;
Report.Note($"{string.Join(' ', colors)} | {string.Join(' ', sized)}");
