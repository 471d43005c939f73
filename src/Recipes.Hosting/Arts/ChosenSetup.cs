using System.Text;
using Recipes.Hosting.Setups;
using Recipes.Imaging;
using Recipes.Problems;
using Recipes.Work;

namespace Recipes.Hosting.Arts;

/// <summary>Which setup a command works under, and whether anybody chose it.</summary>
/// <param name="Setup">The setup.</param>
/// <param name="IsFallback">True where the program fell back on it.</param>
public sealed record ChosenSetup(GarmentSetup Setup, bool IsFallback)
{
    /// <summary>
    /// The setup asked for, else the work file's last one, else the one chosen with <c>setups use</c>, else the fallback.
    /// </summary>
    public static ChosenSetup Find(string? option, WorkFile? work)
    {
        if (option is not null)
        {
            return new ChosenSetup(SetupStore.Find(option), false);
        }

        if (work?.LastSetup is { } last)
        {
            return new ChosenSetup(LastOf(work, last), false);
        }

        return Settings.Read().Setup is { } chosen
            ? new ChosenSetup(SetupStore.Find(chosen), false)
            : new ChosenSetup(SetupStore.Find(SetupStore.Fallback), true);
    }

    /// <summary>The name of the setup that is taken where none is asked for.</summary>
    public static string NameWithout(WorkFile? work) => work?.LastSetup ?? Settings.Read().Setup ?? SetupStore.Fallback;

    /// <summary>
    /// The name alone of what <see cref="Find"/> chooses: whoever only moves along kept steps needs neither the setup's file nor the garment stock.
    /// </summary>
    /// <exception cref="ProblemException">R1008 nobody chose one; R1006, R1007, R1012 of a name that the work file doesn't know.</exception>
    public static string NameIn(WorkFile work, string? option)
    {
        ArgumentNullException.ThrowIfNull(work);
        string name = option ?? work.LastSetup ?? Settings.Read().Setup ?? throw NobodyChose();
        return work.Setups.Contains(name) ? name : SetupStore.Find(name).Name;
    }

    /// <summary>Nothing that writes a result runs on a setup that nobody chose.</summary>
    /// <exception cref="ProblemException">R1008.</exception>
    public ChosenSetup Required() => !IsFallback ? this : throw NobodyChose();

    private static ProblemException NobodyChose() => new(
        Codes.NoSetupChosen, "No garment setup was chosen, and this command writes a result.",
        "Name one with --setup, or choose one for good with 'recipes setups use NAME'; 'recipes setups' lists them.");

    // A name may mean another setup by now: one from a file, or one whose rules or cloth were edited. Lots and the like may change.
    private static GarmentSetup LastOf(WorkFile work, string name)
    {
        var setup = Named(work, name);
        if (Kept(work, name) is { } kept && (kept.Ink != setup.Ink || kept.Underbase != setup.Underbase || kept.Garment != setup.Garment))
        {
            throw new ProblemException(Codes.BadSetup,
                $"The garment setup '{name}' says otherwise what stays bare, who lays white, or what color the cloth has, "
                    + "than when the art was last kept or printed under it.",
                "Name the setup you mean with --setup, by its file where it came from one.");
        }

        return setup;
    }

    /// <summary>
    /// A setup by name or file. One that came from a file, or of a garment, is kept in the work file, so that the next step finds it again, whatever became
    /// of the file or of the stock.
    /// </summary>
    /// <exception cref="ProblemException">R1006 unknown; R1007 malformed; R1012 the garment stock can't be used.</exception>
    public static GarmentSetup Named(WorkFile? work, string name)
    {
        try
        {
            return SetupStore.Find(name);
        }
        catch (ProblemException e) when (
            (e.Problems[0].Code == Codes.UnknownSetup || e.Problems[0].Code == Codes.BadGarments) && work is not null && Kept(work, name) is { } kept)
        {
            return kept;
        }
    }

    // With its last step, or, where there is none, with its last print.
    private static GarmentSetup? Kept(WorkFile work, string name)
    {
        var line = work.Line(name);
        return (line.Steps is [.., { Record: var step }] ? step.SetupJson : line.Prints is [.., var print] ? print.SetupJson : null) is { } json
            ? SetupJson.Read(Encoding.UTF8.GetBytes(json), $"{name} (kept in the work file)", name)
            : null;
    }
}
