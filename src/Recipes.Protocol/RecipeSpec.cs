using System.Collections.Immutable;

namespace Recipes.Protocol;

/// <summary>The type of a parameter.</summary>
public enum ParameterType
{
    /// <summary><c>mm</c>, <c>in</c> or <c>px</c>.</summary>
    Length,
    /// <summary>Likewise, or <c>auto</c>.</summary>
    OptionalLength,
    /// <summary><c>mm2</c> or <c>px</c>.</summary>
    Area,
    /// <summary>0 to 255.</summary>
    Levels,
    /// <summary>0 to 100.</summary>
    Percent,
    /// <summary>A number within a range.</summary>
    Number,
    /// <summary><c>#rrggbb</c>.</summary>
    Color,
    /// <summary>One of several words.</summary>
    Choice,
    /// <summary><c>x,y,w,h</c> with units, or <c>auto</c>.</summary>
    Box,
    /// <summary><c>true</c> or <c>false</c>.</summary>
    Flag,
    /// <summary><c>2,5,7-9</c>; empty for none.</summary>
    RegionNumbers,
}

/// <summary>One parameter as the recipe's source states it.</summary>
/// <param name="Name">As given to <c>--set</c>.</param>
/// <param name="Type">Its type, which says its unit.</param>
/// <param name="Default">The default as <c>--set</c> would take it.</param>
/// <param name="Min">Smallest value, or null.</param>
/// <param name="Max">Largest value, or null.</param>
/// <param name="Choices">The words of a choice.</param>
/// <param name="Help">What it is for.</param>
/// <param name="Line">Where the source declares it, from 1.</param>
public sealed record ParameterSpec(
    string Name, ParameterType Type, string Default, double? Min, double? Max, ImmutableArray<string> Choices, string Help, int Line) : IMessage<ParameterSpec>
{
    private static readonly int Types = Enum.GetValues<ParameterType>().Length;

    /// <inheritdoc/>
    public static ParameterSpec Read(MessageReader reader)
    {
        ArgumentNullException.ThrowIfNull(reader);
        return new(reader.Text(), (ParameterType)reader.OneOf(Types), reader.Text(), reader.OptionalRealNumber(), reader.OptionalRealNumber(),
            reader.List(item => item.Text()), reader.Text(), reader.Number());
    }

    /// <inheritdoc/>
    public void Write(MessageWriter writer)
    {
        ArgumentNullException.ThrowIfNull(writer);
        writer.Text(Name);
        writer.Number((int)Type);
        writer.Text(Default);
        writer.Optional(Min);
        writer.Optional(Max);
        writer.List(Choices, writer.Text);
        writer.Text(Help);
        writer.Number(Line);
    }
}

/// <summary>What a recipe expects of an art and its garment setup; empty texts expect nothing.</summary>
/// <param name="Setup">Names of garment setups, with commas between.</param>
/// <param name="Mode">One of <see cref="Modes"/>, or empty.</param>
/// <param name="Smallest">The length that both sides have at least.</param>
/// <param name="Largest">The length that both sides have at most.</param>
public sealed record ExpectationSpec(string Setup, string Mode, string Smallest, string Largest) : IMessage<ExpectationSpec>
{
    /// <summary>No half or fully transparent pixel; at least one fully transparent pixel; no pixel with a hue.</summary>
    public static ImmutableArray<string> Modes { get; } = ["opaque", "transparent", "gray"];

    /// <summary>Nothing.</summary>
    public static ExpectationSpec Nothing { get; } = new("", "", "", "");

    /// <inheritdoc/>
    public static ExpectationSpec Read(MessageReader reader)
    {
        ArgumentNullException.ThrowIfNull(reader);
        return new(reader.Text(), reader.Text(), reader.Text(), reader.Text());
    }

    /// <inheritdoc/>
    public void Write(MessageWriter writer)
    {
        ArgumentNullException.ThrowIfNull(writer);
        writer.Text(Setup);
        writer.Text(Mode);
        writer.Text(Smallest);
        writer.Text(Largest);
    }
}

/// <summary>What a recipe says about itself, read from its source without running it.</summary>
public sealed record RecipeSpec(string Title, string Purpose, int Version, string Example, ImmutableArray<ParameterSpec> Parameters) : IMessage<RecipeSpec>
{
    /// <summary>The version of what recipes may count on, which this program gives them.</summary>
    public const int ApiVersion = 1;

    /// <summary>Why a second run on the same art does harm; empty where it doesn't.</summary>
    public string RunOnce { get; init; } = "";

    /// <summary>What it leaves bare on purpose; empty where that isn't what it is for.</summary>
    public string LeavesBare { get; init; } = "";

    /// <summary>What it expects.</summary>
    public ExpectationSpec Expects { get; init; } = ExpectationSpec.Nothing;

    /// <summary>The most parameters of a recipe.</summary>
    public const int MostParameters = 64;

    /// <summary>The most characters of any of its texts.</summary>
    public const int LongestText = 2000;

    /// <inheritdoc/>
    public static RecipeSpec Read(MessageReader reader)
    {
        ArgumentNullException.ThrowIfNull(reader);
        return new RecipeSpec(reader.Text(), reader.Text(), reader.Number(), reader.Text(), reader.List(ParameterSpec.Read))
        {
            RunOnce = reader.Text(),
            LeavesBare = reader.Text(),
            Expects = ExpectationSpec.Read(reader),
        };
    }

    /// <inheritdoc/>
    public void Write(MessageWriter writer)
    {
        ArgumentNullException.ThrowIfNull(writer);
        writer.Text(Title);
        writer.Text(Purpose);
        writer.Number(Version);
        writer.Text(Example);
        writer.List(Parameters, parameter => parameter.Write(writer));
        writer.Text(RunOnce);
        writer.Text(LeavesBare);
        Expects.Write(writer);
    }
}
