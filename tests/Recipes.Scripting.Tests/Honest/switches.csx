// note: black,white,orange,none 3
string Part(string name)
{
    switch (name)
    {
        case "wing": return "black";
        case "belly": return "white";
        case "beak": return "orange";
        case "foot": return "orange";
        case "eye": return "black";
        case "sail": return "white";
        case "sea": return "blue";
        default: return "none";
    }
}

enum Size { Small = 1, Middle, Large }
int Number(Size size) => size switch { Size.Small => 1, Size.Large => 3, _ => 2 };
Report.Note($"{string.Join(',', new[] { "wing", "belly", "beak", "?" }.Select(Part))} {Number(Size.Large)}");
