// note: Setup 3 of 5, then 4 of 5
class Pass
{
    public required int Number { get; init; }
    public required int Of { get; init; }
    public string Name { get; init; } = "Setup";
}

record Step(int Number)
{
    public int Of { get; init; } = 5;
}

var pass = new Pass { Number = 3, Of = 5 };
var step = new Step(3) with { Number = 4 };
Report.Note($"{pass.Name} {pass.Number} of {pass.Of}, then {step.Number} of {step.Of}");
