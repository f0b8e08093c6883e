"""Libraries that are used: their exact versions, their licences, what is known against them."""
