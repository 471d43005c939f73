using System.CommandLine;
using Recipes.Hosting.Steps;

namespace Recipes.Cli.Commands;

/// <summary><c>redo</c>: does an undone step again.</summary>
internal static class RedoCommand
{
    public static Command Create()
    {
        var art = Options.Art();
        var setup = Options.Setup();
        var by = Options.By();
        var command = new Command("redo", "Does the step again that was undone last") { art, setup, Options.Garment, by };
        return command.With("recipes redo puffin.png", session =>
        {
            string path = session.Parse.GetRequiredValue(art);
            return UndoCommand.Told(path, MoveSteps.Redo(session.Shop, path, session.SetupName(setup), session.By(by)));
        });
    }
}
