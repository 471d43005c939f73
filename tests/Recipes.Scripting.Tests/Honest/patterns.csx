// note: dark, light, middle, clear, other, 2 of 4
string Tone(Rgba8 pixel) => pixel switch
{
    { A: 0 } => "clear",
    { R: < 64, G: < 64, B: < 64 } => "dark",
    (> 192, > 192, > 192, _) => "light",
    { R: var r } when r is >= 100 and <= 150 => "middle",
    _ => "other",
};

var tones = new[] { new Rgba8(1, 2, 3), Rgba8.White, new Rgba8(120, 0, 0), Rgba8.ClearWhite, new Rgba8(70, 0, 0) }.Select(Tone);
int[] numbers = [1, 2, 3, 4];
string shape = numbers is [_, var second, .., var last] ? $"{second} of {last}" : "none";
object boxed = shape;
if (boxed is string { Length: > 0 } text and not "none")
{
    Report.Note($"{string.Join(", ", tones)}, {text}");
}
