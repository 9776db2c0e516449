Editor:access_action("Common", "show-mixer")
