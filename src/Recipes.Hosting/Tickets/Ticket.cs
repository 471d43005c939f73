using System.Collections.Immutable;
using Recipes.Hosting.Arts;
using Recipes.Hosting.Checks;
using Recipes.Hosting.Setups;
using Recipes.Hosting.Words;
using Recipes.Imaging;
using Recipes.Problems;
using Recipes.Work;

namespace Recipes.Hosting.Tickets;

/// <summary>All that the press needs to know about one print: the state, what the check says, the steps, and how it printed before.</summary>
/// <param name="State">The art as it is to be printed.</param>
/// <param name="Check">What the check says about it.</param>
/// <param name="Steps">The steps that made it, in order.</param>
/// <param name="Colors">Its main colors, most pixels first.</param>
/// <param name="Repeat">What earlier prints say.</param>
public sealed record Ticket(ArtState State, ArtCheck Check, ImmutableArray<WorkStep> Steps, ImmutableArray<MainColor> Colors, Repeat Repeat)
{
    /// <summary>What it says of the order.</summary>
    public ImmutableArray<TicketField> Fields { get; init; } = [];

    /// <summary>The last print under this setup, where it was bad.</summary>
    public EarlierPrint? LastBad { get; init; }

    /// <summary>The handover notes on the art, the oldest first.</summary>
    public ImmutableArray<ArtNote> Notes { get; init; } = [];

    /// <summary>That the order asks for sizes that the stock doesn't list, as a warning; else null.</summary>
    public Problem? SizeNotListed => Garment is null ? null
        : OrderedSizes.Warning(State.Setup.Name, Fields.FirstOrDefault(known => known.Name == "sizes")?.Value, new Place(State.File.Path));

    /// <summary>What a machine reads off it.</summary>
    public TicketCode Code => TicketCode.Of(State, Fields);

    /// <summary>Gathers a ticket. The same state, setup and prints give the same ticket: there is no clock in it.</summary>
    /// <exception cref="ProblemException">R3009, R1007: the work file is damaged.</exception>
    public static Ticket Of(ArtState state)
    {
        ArgumentNullException.ThrowIfNull(state);
        var colors = MainColors.Of(state.Art.Flat, state.Setup.Ink).Colors;
        return new Ticket(state, ArtCheck.Of(state), state.Steps, colors, Repeat.Of(state, colors))
        {
            LastBad = EarlierPrint.LastBad(state),
            Notes = state.OwnWork?.Notes ?? [],
        };
    }

    /// <summary>The garment of the shop's stock that it is for; null for a setup that is none.</summary>
    public Garment? Garment { get; } = GarmentStock.Of(State.Setup);

    /// <summary>The main colors as a strip to print on the garment; null where nothing prints.</summary>
    public Artwork? Strip { get; } = ColorStrip.Draw(Colors, State.Setup);

    /// <summary>The commands that make a bracket around each affected color.</summary>
    /// <param name="setup">The garment setup, as <c>--setup</c> takes it.</param>
    public ImmutableArray<string> Brackets(string setup)
    {
        ArgumentNullException.ThrowIfNull(setup);
        return [.. Repeat.Affected.Select(color => $"recipes chart --around {ShellWord.Of(color.Color.ToString())} "
            + $"-o around-{color.Color.ToString()[1..]}.png --setup {ShellWord.Of(setup)}")];
    }
}
